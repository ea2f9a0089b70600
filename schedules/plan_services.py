"""Working plans out: every open sowing is put to the planner, and its answer is written down."""

import logging
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction

from plots.crops import crop as crop_of
from plots.ground_selectors import GroundRecordFault
from plots.ground_services import ground_check
from plots.models import BedKind, Site, Sowing
from plots.selectors import season_begins, season_of
from schedules.agronomy.climate import ClimateFault, Ensemble
from schedules.agronomy.site_learning import GrowthLearning
from schedules.learning_selectors import SiteHistory
from schedules.plan_selectors import (
    JobRow,
    Wanted,
    changed_since,
    job_rows,
    marks_of_sowing,
    sowings_to_plan,
    sowings_wanted,
)
from schedules.plan_writing import Planned, explanations_sweep, plans_write
from schedules.planner import SiteFacts, SowingRequest, span
from schedules.planner.questions import Marks, Question, question_of
from schedules.planning_pool import Answers, Asked, Planners, planners
from schedules.site_facts import site_facts
from schedules.tired_ground import tired_sowings
from schedules.weather_selectors import climate
from society import clock
from society.zones import zone

logger = logging.getLogger(__name__)

# Sowings planned and written under one lock of their site.
AT_ONCE = 2000


def all_replan(*, now: datetime) -> int:
    """Work out every site's sowings again, and judge their ground; returns how many jobs changed.

    A site whose record cannot be read is logged and left as it was; the others go on.
    """
    changed = 0
    for site in Site.objects.order_by("pk"):
        try:
            changed += site_replan(site=site, now=now)
            ground_check(site=site, now=now)
        except GroundRecordFault:
            logger.exception("the ground record of site %s cannot be judged", site.pk)
    return changed


def site_replan(*, site: Site, now: datetime) -> int:
    """Work out every open sowing of a site; returns how many jobs changed.

    The site is locked while some thousand answers are written, and not while they are worked out. What was
    changed or recorded since it was read was planned by that change, and is left as it is.
    """
    season = season_of(site, local_day(site, now))
    standing = Sowing.objects.filter(patch__site=site, state=Sowing.State.SOWN, last_season__lt=season)
    standing.update(last_season=season)  # what still stands counts for this season too
    changed = _replan(site, sowings_to_plan(site, season=season), now=now)
    with site_locked(site):
        explanations_sweep(site)
    return changed


def sowing_replan(*, sowing: Sowing, now: datetime) -> int:
    """Work out one sowing; returns how many of its jobs changed."""
    return sowings_replan(site=sowing.patch.site, sowings=[sowing], now=now)


def sowings_replan(*, site: Site, sowings: Sequence[Sowing], now: datetime) -> int:
    """Work out some sowings of a site together; returns how many of their jobs changed."""
    with site_locked(site):
        return _replan(site, sowings_to_plan(site, only=sowings), now=now, is_held=True)


@contextmanager
def site_locked(site: Site) -> Iterator[None]:
    """Hold a site's plans alone, so that planning twice at once writes once. Always taken before any job."""
    with transaction.atomic():
        Site.objects.select_for_update().get(pk=site.pk)
        yield


def local_day(site: Site, now: datetime) -> date:
    """The site's own date at an instant."""
    return clock.local_date(now, zone(site.zone))


@dataclass(frozen=True, slots=True)
class _Run:
    """What one replanning of a site holds for all its sowings. ``is_held``: the site is locked throughout."""

    site: Site
    tired: Set[int]
    learnt: Mapping[str, GrowthLearning]
    ask: Planners
    now: datetime
    is_held: bool


@dataclass(frozen=True, slots=True)
class _Part:
    """Some sowings as they were read, each with its question's digest and its records, and the answers."""

    asking: Sequence[tuple[Sowing, str, Marks]]
    present: Mapping[int, Sequence[JobRow]]
    digests: Sequence[str]
    answers: Answers


def _replan(site: Site, wanted: Sequence[Wanted], *, now: datetime, is_held: bool = False) -> int:
    if not wanted:
        return 0
    today = local_day(site, now)
    history = SiteHistory(site, today)
    facts = site_facts(site, history=history)
    try:
        weather = _weather(site, list(_spans(site, wanted, facts, today)), today)
    except ClimateFault:
        return 0  # a site without any weather has no dates yet; its pages say so
    learnt = history.growth({row.crop for row in wanted})
    tired = tired_sowings(site, [row.pk for row in wanted])
    with planners(facts, weather, today, sowings=len(wanted)) as ask:
        run = _Run(site, tired, learnt, ask, now, is_held)
        # The next part is read and asked before this one is written, so that helpers are never idle.
        parts = (_part_read(run, wanted[at : at + AT_ONCE]) for at in range(0, len(wanted), AT_ONCE))
        changed, before = 0, next(parts)
        for part in parts:
            changed += _part_write(run, before)
            before = part
        return changed + _part_write(run, before)


def _part_read(run: _Run, wanted: Sequence[Wanted]) -> _Part:
    """Read some sowings and ask for their plans. Those that ask the same get one answer between them."""
    sowings = sowings_wanted(run.site, wanted)
    present = job_rows([sowing.pk for sowing in sowings])
    questions: dict[str, Question] = {}
    brought: dict[str, dict[Marks, None]] = defaultdict(dict)
    asking: list[tuple[Sowing, str, Marks]] = []
    for sowing in sowings:
        marks = marks_of_sowing(sowing, present.get(sowing.pk, ()))
        request = request_of(sowing, tired=sowing.pk in run.tired, growth=run.learnt.get(sowing.crop))
        question = question_of(request, marks)
        questions[question.digest] = question
        brought[question.digest][marks] = None
        asking.append((sowing, question.digest, marks))
    asked = [Asked(question, tuple(brought[digest])) for digest, question in questions.items()]
    return _Part(asking, present, list(questions), run.ask(asked))


def _part_write(run: _Run, part: _Part) -> int:
    """Write the answers, each sowing's under its own name, but for sowings that changed since the reading."""
    answers = dict(zip(part.digests, part.answers(), strict=True))
    told = {content: each for answer in answers.values() for content, each in answer.told.items()}
    with site_locked(run.site):
        asking = part.asking
        if not run.is_held:
            changed = changed_since([sowing for sowing, _, _ in asking], part.present)
            asking = [each for each in asking if each[0].pk not in changed]
        plans = [
            Planned(sowing.pk, str(sowing.key), answers[digest].answers[marks])
            for sowing, digest, marks in asking
        ]
        return plans_write(run.site, plans, told, part.present, now=run.now)


def _spans(site: Site, wanted: Sequence[Wanted], facts: SiteFacts, today: date) -> Iterator[tuple[date, int]]:
    """The weather that these sowings want: for each crop, that of the earliest and of the latest of them."""
    days: dict[str, set[date]] = defaultdict(set)
    for row in wanted:
        days[row.crop].add(
            row.sow_on or row.not_before or asked_from(site, season=row.season, made_at=row.made_at)
        )
    for crop, asked in days.items():
        for day in {min(asked), max(asked)}:
            yield span(SowingRequest(crop, crop_of(crop), None, day), facts, {}, today)


def asked_from(site: Site, *, season: int, made_at: datetime) -> date:
    """From when a sowing without a day of its own may be made. Never today's date: it would slide nightly."""
    return max(season_begins(site, season), local_day(site, made_at))


def request_of(sowing: Sowing, *, tired: bool, growth: GrowthLearning | None = None) -> SowingRequest:
    """The question that a stored sowing puts to the planner, with what the site's liftings of it taught."""
    learnt = growth or GrowthLearning()
    bed = sowing.patch.bed
    container = bed is not None and bed.kind == BedKind.CONTAINER and bed.height_m > 0
    return SowingRequest(
        key=str(sowing.key),
        crop=crop_of(sowing.crop),
        sow_on=sowing.sown_on or sowing.sow_on,
        not_before=sowing.not_before
        or asked_from(sowing.patch.site, season=sowing.season, made_at=sowing.made_at),
        cover=sowing.cover,  # type: ignore[arg-type]  # the request turns the stored word into its kind
        container_height_cm=round(bed.height_m * 100, 1) if container and bed else None,
        same_family_last_year=tired,
        growth_factor=round(learnt.factor, 3),
        growth_liftings=learnt.liftings,
    )


def _weather(site: Site, spans: list[tuple[date, int]], today: date) -> Ensemble:
    """One ensemble wide enough for every sowing, so that the site's weather is laid out once."""
    first = min(begin for begin, _ in spans)
    end = max(begin + timedelta(days=days) for begin, days in spans)
    return climate(site, today=today, first=first, days=(end - first).days)
