"""A bed and its past, in as few words as a table of cases needs."""

from collections.abc import Sequence

from plots.rotation import GroundUse, Wanted

Corners = Sequence[tuple[float, float]]

CARROT, BEET, ONION, POTATO = "Apiaceae", "Amaranthaceae", "Amaryllidaceae", "Solanaceae"


def box(x0_m: float, y0_m: float, x1_m: float, y1_m: float) -> Corners:
    return [(x0_m, y0_m), (x1_m, y0_m), (x1_m, y1_m), (x0_m, y1_m)]


BED = box(0, 0, 4, 1.2)  # 4.8 m²


def wanted(season: int = 2025, *, on: Corners = BED, family: str = CARROT) -> Wanted:
    return Wanted("wanted", on, "carrot-early", "Carrot, early", family, season)


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
