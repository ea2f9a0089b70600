"""Taking a member's readings of one day, and withdrawing one. The site's plans are worked out again after."""

from datetime import datetime

from plots.changes import local_day, note, site_held
from plots.models import Site
from schedules.models import Reading
from schedules.plan_services import site_replan
from schedules.planner.sentences.wording import Units
from schedules.reading_checks import ReadingWish, ask_about_unlikely, refuse_impossible
from society.models import Account, Member


def readings_take(
    *,
    site: Site,
    member: Member | None,
    wish: ReadingWish,
    account: Account | None,
    now: datetime,
    is_sure: bool = False,
    units: Units = "metric",
) -> list[Reading]:
    """Keep what was read, all of it or nothing, and plan the site again.

    What cannot be raises ValidationError by field; what is only unlikely raises AskAgain unless ``is_sure``.
    The same said twice is kept once.
    """
    today = local_day(site, now)
    with site_held(site):
        refuse_impossible(site, wish, today=today, units=units)
        if not is_sure:
            ask_about_unlikely(site, wish, today=today, units=units)
        kept = [_kept(site, member, wish, quantity, now) for quantity in wish.values]
        fresh = [reading for reading, is_new in kept if is_new]
        for reading in fresh:
            _note(reading, "reading.taken", account, now)
    if fresh:
        site_replan(site=site, now=now)
    return [reading for reading, _ in kept]


def reading_withdraw(*, reading: Reading, account: Account | None, now: datetime) -> Reading:
    """Let a reading count no more; it stays on record. Withdrawn once is withdrawn."""
    with site_held(reading.site):
        fresh = Reading.objects.select_related("site").get(pk=reading.pk)
        if fresh.withdrawn_at is not None:
            return fresh
        fresh.withdrawn_at = now
        fresh.save(update_fields=["withdrawn_at"])
        _note(fresh, "reading.withdrawn", account, now)
    site_replan(site=fresh.site, now=now)
    return fresh


def _kept(
    site: Site, member: Member | None, wish: ReadingWish, quantity: str, now: datetime
) -> tuple[Reading, bool]:
    is_soil = quantity == "soil_c"
    return Reading.objects.get_or_create(
        site=site,
        member=member,
        day=wish.day,
        quantity=quantity,
        value=wish.values[quantity],
        depth_mm=wish.depth_mm if is_soil else None,
        hour=wish.hour if is_soil else None,
        withdrawn_at=None,
        defaults={"made_at": now},
    )


def _note(reading: Reading, action: str, account: Account | None, now: datetime) -> None:
    note(
        reading,
        action,
        account=account,
        now=now,
        site=reading.site_id,
        member=reading.member_id,
        on=reading.day.isoformat(),
        quantity=reading.quantity,
    )
