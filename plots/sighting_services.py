"""Entering a pest or disease seen on the ground, confirming it, telling the neighbours, withdrawing it."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError

from plots.changes import Faults, local_day, note, refuse_stale, row_check, site_held
from plots.ground_places import GroundPlace
from plots.ground_services import touched_ground_check
from plots.models import HowSure, Sighting
from plots.rotation import problems
from plots.selectors import season_of
from society.models import Account, Member

LONGEST_NOTE = 400
SHORTEST_REASON = 10


def sighting_add(
    *,
    place: GroundPlace,
    problem: str,
    seen_on: date,
    how_sure: str = HowSure.THINK,
    words: str = "",
    member: Member | None,
    account: Account | None,
    now: datetime,
    confirmed_by: Member | None = None,
) -> Sighting:
    """Enter a problem where it was seen, and judge that ground again at once.

    It makes the ground only perhaps unfit until somebody of the committee confirms it.
    """
    site = place.plot.site
    with site_held(site):
        faults, today = Faults(), local_day(site, now)
        if problem not in problems():
            faults.add("problem", f"{problem!r} is not on the list; choose one of its lines")
        if seen_on > today:
            faults.add("seen_on", f"{seen_on} is still to come; today is {today}")
        said = " ".join(words.split())
        if len(said) > LONGEST_NOTE:
            faults.add("words", f"say it in {LONGEST_NOTE} letters; these are {len(said)}")
        faults.refuse()
        sighting = Sighting(
            **place.columns,
            problem=problem,
            seen_on=seen_on,
            season=season_of(site, seen_on),
            how_sure=how_sure,
            note=said,
            member=member,
            made_at=now,
            is_sure=confirmed_by is not None,
            confirmed_by=confirmed_by,
            confirmed_at=now if confirmed_by is not None else None,
        )
        row_check(sighting)
        sighting.save()
        _note(sighting, "sighting.added", account, now, seen_on=seen_on, is_sure=sighting.is_sure)
        touched_ground_check(site=site, ground=sighting, now=now)
    return sighting


def sighting_confirm(
    *,
    sighting: Sighting,
    member: Member | None,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Sighting:
    """Say for the committee that a problem is really there; from now on it counts for certain."""
    with site_held(sighting.site):
        fresh = _standing(sighting, version)
        if fresh.is_sure:
            raise ValidationError({"sighting": "it is confirmed already; nothing is left to do"})
        _write(fresh, {"is_sure": True, "confirmed_by": member, "confirmed_at": now})
        _note(fresh, "sighting.confirmed", account, now)
        touched_ground_check(site=fresh.site, ground=fresh, now=now)
    return fresh


def sighting_tell(
    *,
    sighting: Sighting,
    tell: bool,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Sighting:
    """Put the advice on the pages of the plots beside it, or take it from them. It names nobody."""
    with site_held(sighting.site):
        fresh = _standing(sighting, version)
        if fresh.tell_neighbours == tell:
            state = "are told already" if tell else "are not told as it is"
            raise ValidationError({"sighting": f"the neighbours {state}; nothing is left to do"})
        _write(fresh, {"tell_neighbours": tell})
        _note(fresh, "sighting.told" if tell else "sighting.told_no_more", account, now)
    return fresh


def sighting_withdraw(
    *,
    sighting: Sighting,
    because: str,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Sighting:
    """Let a sighting count no more, with the reason. It is kept, and the ground is judged again at once."""
    with site_held(sighting.site):
        fresh = _standing(sighting, version)
        reason = " ".join(because.split())
        if not SHORTEST_REASON <= len(reason) <= LONGEST_NOTE:
            raise ValidationError(
                {"because": f"give the reason in {SHORTEST_REASON} to {LONGEST_NOTE} letters"}
            )
        _write(fresh, {"withdrawn_at": now, "withdrawn_because": reason, "tell_neighbours": False})
        _note(fresh, "sighting.withdrawn", account, now)
        touched_ground_check(site=fresh.site, ground=fresh, now=now)
    return fresh


def _standing(sighting: Sighting, version: int | None) -> Sighting:
    fresh = Sighting.objects.select_related("site__society", "plot").get(pk=sighting.pk)
    refuse_stale(fresh, version)
    if fresh.withdrawn_at is not None:
        raise ValidationError({"sighting": "it was withdrawn already; enter it again if it is there"})
    return fresh


def _write(sighting: Sighting, values: Mapping[str, Any]) -> None:
    for name, value in values.items():
        setattr(sighting, name, value)
    sighting.version += 1
    sighting.save(update_fields=[*values, "version"])


def _note(sighting: Sighting, action: str, account: Account | None, now: datetime, **values: Any) -> None:
    note(
        sighting, action, account=account, now=now,
        plot=sighting.plot_id, problem=sighting.problem, version=sighting.version, **values,
    )  # fmt: skip
