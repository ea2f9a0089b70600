"""Taking sowings out of the ground early, and plans out of the plan."""

from datetime import date, datetime

from plots.changes import note, row_change
from plots.models import Patch, Sowing
from plots.selectors import season_of
from society.models import Account


def standing_clear(sowing: Sowing, *, on: date, account: Account | None, now: datetime) -> Sowing:
    """Mark what stands as cleared on a day; its ground has carried it. The caller holds the site."""
    site = sowing.patch.site
    values = {
        "state": Sowing.State.CLEARED,
        "ended_on": on,
        "last_season": max(sowing.season, season_of(site, on)),
    }
    return row_change(sowing, values, action="sowing.cleared", account=account, now=now)


def plan_drop(sowing: Sowing, *, account: Account | None, now: datetime) -> None:
    """Take away a plan that never came into the ground: it is no part of the ground record.

    The journal keeps what it was; its jobs go with it. The caller holds the site.
    """
    patch = sowing.patch
    note(
        sowing, "sowing.withdrawn", account=account, now=now,
        key=str(sowing.key), crop=sowing.crop, season=sowing.season, plot=patch.plot_id,
        outline=patch.outline,
    )  # fmt: skip
    sowing.delete()
    patch_drop_unused(patch)


def patch_drop_unused(patch: Patch) -> None:
    """A patch on which nothing is or was planned is no part of the record."""
    if not patch.sowings.exists():
        Patch.objects.filter(pk=patch.pk).delete()
