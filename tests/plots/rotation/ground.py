"""A bed and its past, in as few words as a table of cases needs."""

from collections.abc import Sequence

from plots.crops import crop as crop_of
from plots.rotation import GroundUse, Sighting, Wanted, green_manures

Corners = Sequence[tuple[float, float]]

CARROT, BEET, ONION, POTATO = "Apiaceae", "Amaranthaceae", "Amaryllidaceae", "Solanaceae"


def box(x0_m: float, y0_m: float, x1_m: float, y1_m: float) -> Corners:
    return [(x0_m, y0_m), (x1_m, y0_m), (x1_m, y1_m), (x0_m, y1_m)]


BED = box(0, 0, 4, 1.2)  # 4.8 m²


def wanted(season: int = 2025, *, on: Corners = BED, family: str = CARROT) -> Wanted:
    return Wanted("wanted", on, "carrot-early", "Carrot, early", family, season)


def asked(crop: str, *, on: Corners = BED, vessel: str = "") -> Wanted:
    """A crop on file, wanted in 2025."""
    return Wanted("wanted", on, crop, crop, crop_of(crop).family, 2025, _is_root(crop), vessel)


def use(
    last: int,
    *,
    on: Corners = BED,
    family: str = CARROT,
    first: int | None = None,
    coarse: bool = False,
    key: str = "",
) -> GroundUse:
    """A use of ground that ended in the season ``last``, and began in it too unless told otherwise."""
    return GroundUse(
        key=key or f"{family}-{last}-{on}",
        outline=on,
        crop_key="parsnip",
        crop_name="Parsnip",
        family=family,
        first_season=last if first is None else first,
        last_season=last,
        coarse=coarse,
    )


def grown(
    crop: str,
    first: int,
    last: int | None = None,
    *,
    on: Corners = BED,
    failed: bool = False,
    vessel: str = "",
    coarse: bool = False,
) -> GroundUse:
    """A crop on file, or a green manure on file, that stood from one season to another or in one alone."""
    manure = green_manures().get(crop)
    return GroundUse(
        key=f"{crop}-{first}-{on}",
        outline=on,
        crop_key="" if manure else crop,
        crop_name=crop,
        family=manure.family if manure else crop_of(crop).family,
        first_season=first,
        last_season=first if last is None else last,
        coarse=coarse,
        is_root=not manure and _is_root(crop),
        failed=failed,
        vessel=vessel,
    )


def seen(problem: str, season: int, *, on: Corners = BED, is_sure: bool = True, vessel: str = "") -> Sighting:
    return Sighting(f"{problem}-{season}", on, problem, season, is_sure, vessel)


def _is_root(crop: str) -> bool:
    fact = crop_of(crop).get("is_root")
    return fact is not None and fact.value is True
