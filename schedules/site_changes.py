"""Correcting a site: what its plans rest on changes with it, so they are worked out again."""

from datetime import datetime
from typing import Unpack

from plots.models import Site
from plots.site_services import SiteChanges, site_update
from schedules.plan_services import site_replan
from society.models import Account

# Changing only these moves no date.
WORDS_ONLY = frozenset({"name", "frost_words"})


def site_correct(
    *, site: Site, version: int | None, account: Account | None, now: datetime, **changes: Unpack[SiteChanges]
) -> Site:
    """Correct a site and plan it again where its place, ground or insects are no longer what they were."""
    was = {name: getattr(site, name) for name in changes}
    fresh = site_update(site=site, version=version, account=account, now=now, **changes)
    if any(getattr(fresh, name) != was[name] for name in changes if name not in WORDS_ONLY):
        site_replan(site=fresh, now=now)
    return fresh
