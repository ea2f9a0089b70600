"""Manure and lime as a layout heeds them: which crops shun what, and through which season it is felt."""

from datetime import date

from plots.crops import Crop
from plots.ground_columns import Box
from plots.models import GroundEvent, GroundEventKind, Site
from plots.rotation.proposals import Dressing
from plots.selectors import season_begins, season_of

MANURE, LIME = "manure", "lime"
DRESSINGS = {GroundEventKind.MANURE_FRESH.value: MANURE, GroundEventKind.LIME.value: LIME}
# Longest that a dressing is felt, in seasons after its own.
FELT_SEASONS = 1
# The longest day, to the day or two by which it moves: (month, day) north and south of the equator.
MIDSUMMER = {True: (6, 21), False: (12, 21)}
POTATOES = "Solanum tuberosum"


def shuns(crop: Crop) -> frozenset[str]:
    """The dressings that a crop must not follow.

    Roots sown in place fork in fresh manure, and potatoes scab on fresh lime: common practice, no published
    source.
    """
    part = crop.get("harvested_part")
    forks = part is not None and part.value == "roots" and crop.grown_from == "seed"
    found = {MANURE} if forks else set()
    if crop.botanical_name == POTATOES:
        found.add(LIME)
    return frozenset(found)


def dressings_near(site: Site, box: Box, *, first_season: int) -> list[Dressing]:
    """Fresh manure and lime that may still be felt when the first season begins. One query."""
    rows = GroundEvent.objects.filter(
        box.meets(),
        site=site,
        kind__in=list(DRESSINGS),
        withdrawn_at__isnull=True,
        on__gte=season_begins(site, first_season - FELT_SEASONS),
    ).order_by("pk")
    return [
        Dressing(DRESSINGS[row.kind], row.outline, season_of(site, row.on), felt_until(site, row.on))
        for row in rows
    ]


def felt_until(site: Site, on: date) -> int:
    """The last season in which a dressing is felt: its own, or the next when it came after midsummer."""
    season = season_of(site, on)
    month, day = MIDSUMMER[site.latitude >= 0]
    begins = season_begins(site, season)
    midsummer = date(begins.year, month, day)
    if midsummer < begins:
        midsummer = midsummer.replace(year=begins.year + 1)
    return season + FELT_SEASONS if on > midsummer else season
