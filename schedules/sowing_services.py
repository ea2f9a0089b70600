"""Sowings and their plans in one step: what is placed on the ground is planned before anybody looks."""

from collections.abc import Sequence
from datetime import date, datetime
from functools import partial
from typing import Unpack

from django.db import transaction
from django.db.models import F

from plots.models import Bed, Plot, Site, Sowing, Tenancy
from plots.sowing_services import (
    SowingChanges,
    sowing_change,
    sowing_clear,
    sowing_place,
    sowing_withdraw,
    sowings_place,
)
from plots.sowing_wishes import Place, SowingWish, Surroundings
from plots.tenancy_ending import Ending, tenancy_end
from schedules.draft_plans import free_by, surroundings_of
from schedules.models import Job
from schedules.plan_services import sowing_replan, sowings_replan
from society.models import Account, Member


@transaction.atomic
def sowing_plan(
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
) -> Sowing:
    """Place a sowing where the ground is free by the plans of others, and work its jobs out."""
    sowing = sowing_place(
        plot=plot,
        bed=bed,
        crop_key=crop_key,
        season=season,
        place=place,
        sow_on=sow_on,
        not_before=not_before,
        cover=cover,
        variety=variety,
        member=member,
        account=account,
        now=now,
        around=partial(surroundings_of, now=now),
    )
    sowing_replan(sowing=sowing, now=now)
    return sowing


@transaction.atomic
def sowings_plan(
    *,
    site: Site,
    wishes: Sequence[tuple[str, SowingWish]],
    member: Member | None,
    account: Account | None,
    now: datetime,
) -> list[Sowing]:
    """Place many sowings of a site, all or none, and work their jobs out together."""
    placed = sowings_place(
        site=site,
        wishes=wishes,
        member=member,
        account=account,
        now=now,
        known=Surroundings(free_by=free_by(site)),
        around=partial(surroundings_of, now=now),
    )
    sowings_replan(site=site, sowings=placed, now=now)
    return placed


@transaction.atomic
def sowing_plan_change(
    *,
    sowing: Sowing,
    version: int | None,
    account: Account | None,
    now: datetime,
    **changes: Unpack[SowingChanges],
) -> Sowing:
    """Change a sowing and work its jobs out again; they keep their keys."""
    around = partial(surroundings_of, now=now)
    changed = sowing_change(
        sowing=sowing, version=version, account=account, now=now, around=around, **changes
    )
    sowing_replan(sowing=changed, now=now)
    return changed


@transaction.atomic
def sowing_plan_clear(
    *, sowing: Sowing, on: date, version: int | None = None, account: Account | None, now: datetime
) -> Sowing:
    """Clear what stands; nothing is asked for it any more."""
    cleared = sowing_clear(sowing=sowing, on=on, version=version, account=account, now=now)
    jobs_of_cleared_end(site=cleared.patch.site, now=now)
    return cleared


def sowing_plan_withdraw(
    *, sowing: Sowing, version: int | None = None, account: Account | None, now: datetime
) -> None:
    """Withdraw a plan; its jobs go with it."""
    sowing_withdraw(sowing=sowing, version=version, account=account, now=now)


@transaction.atomic
def tenancy_close(
    *,
    tenancy: Tenancy,
    on: date,
    reason: str,
    leaving: Sequence[Member] | None = None,
    passed_to: Member | None = None,
    died_on: date | None = None,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Ending:
    """End a tenancy; what was cleared with it asks for nothing any more."""
    ending = tenancy_end(
        tenancy=tenancy,
        on=on,
        reason=reason,
        leaving=leaving,
        passed_to=passed_to,
        died_on=died_on,
        version=version,
        account=account,
        now=now,
    )
    jobs_of_cleared_end(site=ending.tenancy.plot.site, now=now)
    return ending


def jobs_of_cleared_end(*, site: Site, now: datetime) -> int:
    """Ask no longer for work on what was cleared; returns how many jobs that ended."""
    asked = Job.objects.filter(
        sowing__patch__site=site, sowing__state=Sowing.State.CLEARED, state=Job.State.OPEN, is_asked=True
    )
    return asked.update(is_asked=False, moves=F("moves") + 1, worked_out_at=now)
