"""Which day notes fall due: gathered in the early afternoon, with a second one for a frost foreseen later."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from plots.models import Plot, Site
from schedules.day_notes import FROST_TOPICS, Pressing, Said, pressing_on, said_before
from schedules.day_notes.said import NOTE, SECOND
from schedules.deliveries.rows import Row, rows_write
from schedules.letter_quiet import after_quiet
from schedules.letter_wishes import Ground, ground_of, people_with_mail, wishes_of
from schedules.models import Delivery, ForecastState, Sweep
from schedules.tonight import evening_of_now
from society import clock
from society.absence_selectors import stand_ins_for
from society.models import Member
from society.zones import zone

# Late enough for the forecast of the evening, early enough to act before a winter's dusk: common practice.
GATHERED_AT_HOUR = 14
LOOK = "day_notes:"
STILL_TO_BE_WRITTEN = (Delivery.State.DUE, Delivery.State.CLAIMED, Delivery.State.HELD)


@dataclass(frozen=True, slots=True)
class Evening:
    """A site whose night is to be looked at, because it was not yet or the forecast is newer."""

    site: Site
    day: date
    looked_at: Sweep


def day_notes_plan(*, now: datetime) -> int:
    """Write down the notes about what presses; returns how many are new.

    A site is looked at once its hour has come, and again whenever its forecast is newer than that look.
    """
    by_day: dict[date, list[Evening]] = defaultdict(list)
    for evening in _evenings(now):
        by_day[evening.day].append(evening)
    return sum(_plan(day, evenings, now) for day, evenings in by_day.items())


def _evenings(now: datetime) -> Iterator[Evening]:
    sites = list(Site.objects.all())
    looks = {sweep.name: sweep for sweep in Sweep.objects.filter(name__startswith=LOOK)}
    heard = dict(ForecastState.objects.values_list("site", "fetched_at"))
    for site in sites:
        day = evening_of_now(site, now)
        begins = clock.instant_of(day, GATHERED_AT_HOUR, zone(site.zone))
        look = looks.get(f"{LOOK}{site.pk}") or Sweep(name=f"{LOOK}{site.pk}", finished_at=begins)
        fresh = heard.get(site.pk)
        if now < begins:
            continue
        if look.pk is None or look.finished_at < begins or (fresh and fresh > look.finished_at):
            yield Evening(site, day, look)


def _plan(day: date, evenings: Sequence[Evening], now: datetime) -> int:
    sites = [evening.site for evening in evenings]
    plots = list(Plot.objects.filter(site__in=sites, given_up_on__isnull=True).select_related("site"))
    found = pressing_on(plots, now=now, units="metric", evenings={site.pk: day for site in sites})
    by_plot: dict[int, list[Pressing]] = defaultdict(list)
    for each in found:
        by_plot[each.plot].append(each)
    written = rows_write(list(_rows(by_plot, day, now)), now=now) if by_plot else 0
    for evening in evenings:
        Sweep.objects.update_or_create(name=evening.looked_at.name, defaults={"finished_at": now})
    return written


def _rows(by_plot: Mapping[int, Sequence[Pressing]], day: date, now: datetime) -> Iterator[Row]:
    people = list(people_with_mail())
    ground = ground_of(people, on=day)
    members = [
        member
        for member in people
        if wishes_of(member).day_notes and not ground[member.pk].plots.isdisjoint(by_plot)
    ]
    said, readers = said_before(members, evening=day), stand_ins_for(members, on=day)
    for member in members:
        mine = [each for plot in ground[member.pk].plots for each in by_plot.get(plot, ())]
        subject = _subject(mine, said.get(member.pk, Said()), day)
        if subject:
            reader = readers.get(member.pk, member)
            yield Row(
                member,
                Delivery.Kind.DAY_NOTE,
                subject,
                local_date=day,
                due_at=now,
                not_before=after_quiet(now, wishes_of(reader), _clock(reader, ground)),
            )


def _clock(reader: Member, ground: Mapping[int, Ground]) -> ZoneInfo:
    return ground.get(reader.pk, Ground()).zone(reader)


def _subject(found: Iterable[Pressing], said: Said, day: date) -> str:
    """The first note of a day holds everything; after it only a frost that it did not tell makes a second."""
    news = [each for each in found if said.is_news(each, evening=day)]
    first = said.rows.get(NOTE)
    if not news or SECOND in said.rows:
        return ""
    if first is None:
        return NOTE
    has_frost = any(each.topic in FROST_TOPICS for each in news)
    return SECOND if has_frost and first.state not in STILL_TO_BE_WRITTEN else ""
