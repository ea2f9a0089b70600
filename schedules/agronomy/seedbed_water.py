"""Water in the top ten centimetres of bare ground: dry enough to work, too dry for seed to come up."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.agronomy.soils import soil_of

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

BARE_SOIL_KC = 1.2
WORKABLE_SHARE_LIGHT = 1 / 3
WORKABLE_SHARE_HEAVY = 1 / 2
PARCHED_SHARE_LEFT = 0.1

WORKABLE_SOURCE = (
    "the surface has given off a third of its readily evaporable water, half on heavy ground: common "
    "practice, no published source; it is then below the lower plastic limit, at which topsoil begins to "
    "stick (Soil moisture and workability of heavy arable soils, abstract)"
)
PARCHED_SOURCE = (
    "emergence is held in dry soil and goes on after: Finch-Savage, Steckel and Phelps, New Phytologist 139, "
    "1998, 505-516 (abstract); where dry begins: common practice, no published source"
)


def surface_depletion_mm(
    rain_mm: ArrayLike, et0_mm: ArrayLike, soil: str, *, start_mm: ArrayLike = 0.0
) -> FloatArray:
    """Follow how much water the top ten centimetres of bare soil lack, day by day.

    Parameters
    ----------
    rain_mm : array_like, shape (..., days)
        Rain, and water given, of the day. [mm] Not negative.
    et0_mm : array_like, shape that broadcasts with ``rain_mm``
        Reference evapotranspiration of the day. [mm]
    soil : {"sand", "loam", "silt", "clay", "mix"}
        Kind of soil.
    start_mm : float or array_like, shape (...)
        Depletion at the end of the day before the first. [mm] By default none, as after a soaking; a dry
        start is forgotten at the first heavy rain.

    Returns
    -------
    ndarray, shape (..., days)
        Depletion below field capacity at the end of each day, between 0 and what the layer can lose. [mm]
        NaN from the first day on whose rain or evapotranspiration is unknown: unknown rain is never no rain.

    Raises
    ------
    ValueError
        When the soil is none of the five.

    Notes
    -----
    Equation 77 for bare ground wetted all over: rain falls early in the day and what the layer cannot hold
    drains below it; evaporation is ``Kr Kc_max ET0`` with Kr by equation 74 from the depletion after rain
    (as in the calculation sheet of annex 8), Kc_max 1.2 (equation 72 at a wind of 2 m/s and a lowest
    humidity of 45 %). What rises from below and what runs off is left out.

    References
    ----------
    .. [1] Allen, R.G., Pereira, L.S., Raes, D. and Smith, M., Crop evapotranspiration, FAO Irrigation and
       Drainage Paper 56, 1998, chapter 7 and annex 8.
    """
    kind = soil_of(soil)
    most = kind.evaporable_mm
    falling = 1 / (most - kind.readily_evaporable_mm)
    # Days first, so that each step of the recursion reads one run of memory.
    rain, demand = (
        np.ascontiguousarray(np.moveaxis(each, -1, 0))
        for each in np.broadcast_arrays(
            np.asarray(rain_mm, dtype=float), BARE_SOIL_KC * np.asarray(et0_mm, dtype=float)
        )
    )
    depletion = np.empty_like(rain)
    current = np.broadcast_to(np.asarray(start_mm, dtype=float), rain.shape[1:])
    for day in range(rain.shape[0]):
        wetted = np.maximum(current - rain[day], 0.0)
        slowed = np.minimum((most - wetted) * falling, 1.0)
        current = np.minimum(wetted + slowed * demand[day], most, out=depletion[day, ...])
    return np.moveaxis(depletion, 0, -1)


def evaporation_reduction(depletion_mm: ArrayLike, soil: str) -> FloatArray:
    """Return the share of its full evaporation that a drying surface keeps up (Kr).

    Parameters
    ----------
    depletion_mm : array_like, any shape
        Depletion of the top ten centimetres after the day's rain. [mm]
    soil : {"sand", "loam", "silt", "clay", "mix"}
        Kind of soil.

    Returns
    -------
    ndarray, shape as ``depletion_mm``
        1 down to the readily evaporable water, from there straight to 0 where all is gone. [-]

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equation 74.
    """
    kind = soil_of(soil)
    left = kind.evaporable_mm - np.asarray(depletion_mm, dtype=float)
    return np.clip(left / (kind.evaporable_mm - kind.readily_evaporable_mm), 0.0, 1.0)


def is_workable(depletion_mm: ArrayLike, soil: str) -> BoolArray:
    """Say on which days bare ground is dry enough to rake and to sow.

    Parameters
    ----------
    depletion_mm : array_like, any shape
        Depletion of the top ten centimetres, see :func:`surface_depletion_mm`. [mm]
    soil : {"sand", "loam", "silt", "clay", "mix"}
        Kind of soil.

    Returns
    -------
    ndarray of bool, shape as ``depletion_mm``
        True where the ground may be worked. Also True where the depletion is NaN: dryness is then not known,
        and the caller says so instead of forbidding work.

    Notes
    -----
    Ground may be worked once it has lost a third of its readily evaporable water, half on silt and clay: sand
    2 mm, loam 3, silt 4.8, clay 5. The shares are common practice, no published source. Three published
    findings bound them. Near Berlin loose topsoil began to stick close to the lower plastic limit, 20 % by
    mass at 18 % clay and 28 % at 53 % [1]_; at an assumed density of 1.2 to 1.3 that is field capacity on
    loam and 2.4 mm below it on clay. The WOFOST model takes a shallow seed-bed to be workable at field
    capacity, and sows on the third such day [3]_; drainage criteria set field capacity against the plastic
    limit [2]_. Real ground also drains for a day or two, which the layer does not know, so that in winter the
    share asks for a few rainless days. On the records of Cambridge and Brussels most days are workable from
    the second half of February (sand), the first half of March (loam) and March (silt, clay); in
    Northumberland from the second half of March (sand earlier).

    References
    ----------
    .. [1] Soil moisture and workability of heavy arable soils (abstract; clay contents and limits as above).
    .. [2] Smedema, L.K., Drainage criteria for soil workability, Netherlands Journal of Agricultural Science
       27, 1979 (abstract).
    .. [3] van Diepen, C.A., WOFOST, routine for the day of sowing, 1989, after Wind 1972.
    """
    kind = soil_of(soil)
    share = WORKABLE_SHARE_HEAVY if kind.is_heavy else WORKABLE_SHARE_LIGHT
    return ~(np.asarray(depletion_mm, dtype=float) < share * kind.readily_evaporable_mm)


def is_parched(depletion_mm: ArrayLike, soil: str) -> BoolArray:
    """Say on which days bare ground is too dry at sowing depth for seed to go on coming up.

    Parameters
    ----------
    depletion_mm : array_like, any shape
        Depletion of the top ten centimetres, see :func:`surface_depletion_mm`. [mm]
    soil : {"sand", "loam", "silt", "clay", "mix"}
        Kind of soil.

    Returns
    -------
    ndarray of bool, shape as ``depletion_mm``
        True where emergence is held. False where the depletion is NaN: dryness is then not known, and the
        caller says so.

    Notes
    -----
    Carrot seed in the field made progress at a rate that the soil's water did not touch until it fell below a
    bound, and then none [1]_; radish, rape and sunflower germinated down to about the wilting point, carrot
    a little less far [2]_. The layer is a mean of ten centimetres and seed lies within it, so parched is
    taken late: when the surface gives off no more than a tenth of what the air would take, Kr of 0.1
    (common practice, no published source). Loam then has lost 18 of 19 mm, which takes a week without
    rain in June and some ten days in April. A shower too small to wet the layer may yet reach
    shallow seed.

    References
    ----------
    .. [1] Finch-Savage, W.E., Steckel, J.R.A. and Phelps, K., Germination and post-germination growth to
       carrot seedling emergence, New Phytologist 139, 1998, pp. 505-516 (abstract).
    .. [2] Matsubara, H. and Sugiyama, T., Influence of soil moisture content on germination and emergence of
       seeds, Journal of the Japanese Society for Horticultural Science 34, 1965, pp. 105-112 (abstract).
    """
    kind = soil_of(soil)
    most, readily = kind.evaporable_mm, kind.readily_evaporable_mm
    return np.asarray(depletion_mm, dtype=float) >= most - PARCHED_SHARE_LEFT * (most - readily)
