"""Placing sowings on the ground, changing them, clearing them. Each change judges the ground again."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.changes import Faults, local_day, note, refuse_stale, row_change, site_held
from plots.ground_selectors import GroundRecordFault
from plots.ground_services import ground_check, sowings_ground_check
from plots.models import Bed, Patch, Plot, Site, Sowing
from plots.sowing_ending import patch_drop_unused, plan_drop, standing_clear
from plots.sowing_wishes import COVERS, Around, Place, SowingWish, Surroundings, sowing_drafted
from society.models import Account, Member

# What can still be said of a sowing once it is in the ground, and once it is out of it.
CHANGES_WHILE_STANDING = frozenset({"cover", "variety"})
GROUND_AND_DAYS = ("bed", "season", "place", "sow_on", "not_before")
CHANGES_WHEN_OVER = frozenset({"variety"})


class SowingChanges(TypedDict, total=False):
    bed: Bed | None
    crop_key: str
    season: int
    place: Place
    sow_on: date | None
    not_before: date | None
    cover: str
    variety: str


def sowing_place(
    *,
    plot: Plot,
    bed: Bed | None,
    crop_key: str,
    season: int | None = None,
    place: Place = None,
    sow_on: date | None = None,
    not_before: date | None = None,
    cover: str = "none",
    variety: str = "",
    member: Member | None,
    account: Account | None,
    now: datetime,
    around: Around | None = None,
) -> Sowing:
    """Plan a sowing on a patch of ground that is free then, and keep what the rest rule says of it."""
    wish = SowingWish(plot, bed, crop_key, season, place, sow_on, not_before, cover, variety)
    with site_held(plot.site):
        sowing = _keep(sowing_drafted(wish, now=now, around=around), member, account, now)
        _judge([sowing], now)
    return sowing


def sowings_place(
    *,
    site: Site,
    wishes: Sequence[tuple[str, SowingWish]],
    member: Member | None,
    account: Account | None,
    now: datetime,
    known: Surroundings,
    around: Around,
) -> list[Sowing]:
    """Plan many sowings of a site, all or none, and judge their ground once.

    Each wish comes with what it is called. What is in the way of any stands under ``sowings``, each with its
    name. ``known`` holds what present plans say of the ground; ``around`` costs a plan of the sowing itself,
    which can only clear its way, so it is asked where something seems to be in it.
    """
    faults, placed = Faults(), []
    with transaction.atomic(), site_held(site):
        for name, wish in wishes:
            try:
                draft = _drafted_in_steps(wish, now, known, around)
            except ValidationError as fault:
                for message in fault.messages:
                    faults.add("sowings", f"{name}: {message}")
            else:
                placed.append(_keep(draft, member, account, now))
        faults.refuse()
        _judge(placed, now)
    return placed


def _drafted_in_steps(wish: SowingWish, now: datetime, known: Surroundings, around: Around) -> Sowing:
    try:
        return sowing_drafted(wish, now=now, around=lambda _: known)
    except ValidationError:
        return sowing_drafted(wish, now=now, around=around)


def _keep(sowing: Sowing, member: Member | None, account: Account | None, now: datetime) -> Sowing:
    sowing.patch.save()
    sowing.planned_by = member
    sowing.save()
    _date(sowing, now)
    note(
        sowing, "sowing.placed", account=account, now=now,
        key=str(sowing.key), crop=sowing.crop, season=sowing.season, plot=sowing.patch.plot_id,
        member=member.pk if member else None,
    )  # fmt: skip
    return sowing


def sowing_change(
    *,
    sowing: Sowing,
    version: int | None,
    account: Account | None,
    now: datetime,
    around: Around | None = None,
    **changes: Unpack[SowingChanges],
) -> Sowing:
    """Change a plan; of what stands only cover and variety, for a crop does not move in the ground."""
    with site_held(sowing.patch.site):
        fresh = _fresh(sowing)
        refuse_stale(fresh, version)
        if fresh.state != Sowing.State.PLANNED:
            return _change_late(fresh, changes, account=account, now=now)
        known = _wish_of(fresh)
        wish = replace(known, **changes)
        kept = all(getattr(wish, name) == getattr(known, name) for name in GROUND_AND_DAYS)
        draft = sowing_drafted(wish, now=now, around=around, but=fresh, keeps_ground=kept)
        before = fresh.patch
        moved = draft.patch.outline != before.outline or draft.patch.bed_id != before.bed_id
        fields = ("crop", "variety", "season", "last_season", "sow_on", "not_before", "cover")
        values: dict[str, Any] = {name: getattr(draft, name) for name in fields}
        if moved:
            draft.patch.save()
            values["patch"] = draft.patch
        changed = row_change(fresh, values, action="sowing.changed", account=account, now=now)
        if moved:
            patch_drop_unused(before)
            _judge_ground_left(before, now)
        _judge([changed], now)
    return changed


def sowing_clear(
    *, sowing: Sowing, on: date, version: int | None = None, account: Account | None, now: datetime
) -> Sowing:
    """Clear what stands before its time. It stays in the ground record: the ground has carried it."""
    with site_held(sowing.patch.site):
        fresh = _fresh(sowing)
        refuse_stale(fresh, version)
        today = local_day(fresh.patch.site, now)
        faults = Faults()
        if fresh.state == Sowing.State.PLANNED:
            faults.add("sowing", "it is only planned and stands nowhere; withdraw the plan instead")
        elif fresh.state != Sowing.State.SOWN:
            faults.add(
                "sowing", f"it is out of the ground since {fresh.ended_on or fresh.last_season} already"
            )
        earliest = fresh.sown_on or fresh.patch.plot.laid_out_on
        if not earliest <= on <= today:
            faults.add("on", f"give a day from {earliest} to today, {today}")
        faults.refuse()
        standing_clear(fresh, on=on, account=account, now=now)
        _judge([fresh], now)
    return fresh


def sowing_withdraw(
    *, sowing: Sowing, version: int | None = None, account: Account | None, now: datetime
) -> None:
    """Withdraw a plan that never came into the ground."""
    with site_held(sowing.patch.site):
        fresh = _fresh(sowing)
        refuse_stale(fresh, version)
        if fresh.state != Sowing.State.PLANNED:
            raise ValidationError(
                {"sowing": "it has been in the ground; clear it instead, so that the record stays"}
            )
        patch = fresh.patch
        plan_drop(fresh, account=account, now=now)
        _judge_ground_left(patch, now)


def _date(sowing: Sowing, now: datetime) -> None:
    """The planner counts from when a sowing was planned; the column's own default would read the clock."""
    sowing.made_at = now
    sowing.save(update_fields=["made_at"])


def _fresh(sowing: Sowing) -> Sowing:
    return Sowing.objects.select_related("patch__site", "patch__plot__site", "patch__bed").get(pk=sowing.pk)


def _wish_of(sowing: Sowing) -> SowingWish:
    patch = sowing.patch
    return SowingWish(
        plot=patch.plot,
        bed=patch.bed,
        crop_key=sowing.crop,
        season=sowing.season,
        place=patch.outline,
        sow_on=sowing.sow_on,
        not_before=sowing.not_before,
        cover=sowing.cover,
        variety=sowing.variety,
    )


def _change_late(sowing: Sowing, changes: SowingChanges, *, account: Account | None, now: datetime) -> Sowing:
    """Change what stands or stood: words about it, never its ground or its days."""
    is_over = sowing.state != Sowing.State.SOWN
    allowed = CHANGES_WHEN_OVER if is_over else CHANGES_WHILE_STANDING
    faults = Faults()
    wish = _wish_of(sowing)
    for name in changes:
        if name not in allowed and changes[name] != getattr(wish, name):  # type: ignore[literal-required]
            state = "is out of the ground" if is_over else "is in the ground"
            faults.add(
                name, f"{sowing.crop_name} {state}, so this stays as it was; place a new sowing instead"
            )
    if changes.get("cover", "none") not in COVERS:
        faults.add("cover", f"{changes['cover']!r} is none of: {', '.join(COVERS)}")
    faults.refuse()
    values = {name: value for name, value in changes.items() if name in allowed}
    return row_change(sowing, values, action="sowing.changed", account=account, now=now)


def _judge(sowings: Sequence[Sowing], now: datetime) -> None:
    try:
        sowings_ground_check(sowings=sowings, now=now)
    except GroundRecordFault as fault:
        raise ValidationError({"place": f"the ground record under it cannot be read: {fault}"}) from fault


def _judge_ground_left(patch: Patch, now: datetime) -> None:
    """Ground that a plan gave up may have become good enough for others of its plot."""
    try:
        ground_check(site=patch.site, plot=patch.plot, now=now)
    except GroundRecordFault as fault:
        raise ValidationError({"place": f"the ground record of the plot cannot be read: {fault}"}) from fault
