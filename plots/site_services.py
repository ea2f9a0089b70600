"""Entering a site and correcting it."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.utils.text import slugify

from plots.changes import note, refuse_stale, row_change, row_check, site_held
from plots.crops import INSECTS
from plots.growing_year import season_start_guessed, season_start_proposed
from plots.models import FrostWords, Site, SoilKind, Sowing
from society.models import Account, Society

SEASON_FIELDS = ("season_month", "season_day")
SEASON_STAYS = (
    "the seasons on record are counted from the present day; it can be moved only on a site "
    "where nothing was ever planned or recorded"
)


class SiteChanges(TypedDict, total=False):
    name: str
    latitude: float
    longitude: float
    height_m: float
    zone: str
    soil: str
    season_month: int
    season_day: int
    insects: list[str]
    frost_words: str


def site_create(
    *,
    society: Society,
    name: str,
    latitude: float,
    longitude: float,
    zone: str = "",
    height_m: float = 0.0,
    soil: str = SoilKind.LOAM,
    insects: Collection[str] = INSECTS,
    frost_words: str = FrostWords.UK,
    season_start: tuple[int, int] | None = None,
    mean_c: Sequence[float] | None = None,
    account: Account | None,
    now: datetime,
) -> Site:
    """Enter a site. Its season begins on the month and day given, else in the coldest month of its means.

    The day is stored with the site, so weather that comes later does not move it.
    """
    month, day = season_start or (season_start_proposed(mean_c) if mean_c else season_start_guessed(latitude))
    site = Site(
        society=society,
        name=name.strip(),
        slug=_free_slug(name),
        latitude=latitude,
        longitude=longitude,
        height_m=height_m,
        zone=zone or society.zone,
        soil=soil,
        season_month=month,
        season_day=day,
        insects=sorted(insects),
        frost_words=frost_words,
    )
    row_check(site)
    site.save()
    note(site, "site.created", account=account, now=now, season_month=month, season_day=day)
    return site


def site_update(
    *, site: Site, version: int | None, account: Account | None, now: datetime, **changes: Unpack[SiteChanges]
) -> Site:
    """Correct a site. Where its season begins cannot be moved once seasons have been counted from it."""
    with site_held(site):
        fresh = Site.objects.get(pk=site.pk)
        refuse_stale(fresh, version)
        moved = [name for name in SEASON_FIELDS if name in changes and changes[name] != getattr(fresh, name)]  # type: ignore[literal-required]
        if moved and Sowing.objects.filter(patch__site=fresh).exists():
            raise ValidationError(dict.fromkeys(moved, SEASON_STAYS))
        return row_change(fresh, changes, action="site.changed", account=account, now=now)


def _free_slug(name: str) -> str:
    """A short address that no other site has; the address of a site stays when its name changes."""
    stem = slugify(name)[:40] or "site"
    taken = set(Site.objects.filter(slug__startswith=stem).values_list("slug", flat=True))
    if stem not in taken:
        return stem
    return next(f"{stem}-{count}" for count in range(2, len(taken) + 3) if f"{stem}-{count}" not in taken)
