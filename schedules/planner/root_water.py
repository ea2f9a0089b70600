"""A standing sowing's account of water: how dry its ground is and will be within a fortnight."""

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from plots.crops import Crop
from schedules.agronomy.seedbed_water import evaporation_reduction, is_parched, surface_depletion_mm
from schedules.agronomy.soil_water import (
    RootZone,
    WaterUse,
    crop_coefficient,
    drying_coefficient,
    effective_rain_mm,
    root_zone,
    rooting_depth_m,
    share_of_life,
    stage_ends,
)
from schedules.planner.drafts import Ground
from schedules.planner.site_curves import FloatArray
from schedules.planner.sources import PRACTICE, joined
from schedules.planner.types import Kind, State
from schedules.planner.windows import MIDDLE_PCT, Days, median, percentile

LOOK_DAYS = 14
# A winter lies within nine months of any day, and fills the ground again.
LONGEST_DAYS = 270
# How long a plant of unknown days takes to spread over its ground; common practice, no published source.
UNDATED_DAYS = 180
# What is asked for, and counted, as one watering at the most; common practice, no published source.
SOAKING_MM = 30.0
# A second soaking on the heels of the first runs past the roots: common practice, no published source.
LEFT_TO_DRINK_DAYS = 3
GENERAL_USE = WaterUse(0.7, 1.05, 0.95, 0.45, 0.35, (20, 30, 30, 20))
GENERAL_USE_SOURCE = (
    "no figures of water use are published for this crop, so those of small vegetables stand in: FAO "
    f"Irrigation and Drainage Paper 56, tables 12 and 22 (from memory); stages: {PRACTICE}"
)
_FACTS = ("kc_ini", "kc_mid", "kc_end", "root_depth_m", "depletion_p", "stage_shares")


class Surface(NamedTuple):
    """The top of the ground since a sowing, members by days, and what of its evaporation it keeps up.

    ``start_mm`` is what it lacked the evening before, ``rain_mm`` the rain that wets it.
    """

    start_mm: FloatArray
    rain_mm: FloatArray
    lacks_mm: FloatArray
    reduction: FloatArray


@dataclass(frozen=True, eq=False)
class Account:
    """Water under one sowing, members by days from ``begin`` to a fortnight from today.

    ``is_short`` marks the days that end too dry: in the root zone once the crop is up, in the top of the
    seed-bed before. ``life`` is the share of the crop's life that has passed; ``unread_days`` counts the days
    since the sowing on which each member had rain of its own, because none was read.
    """

    begin: int
    today: int
    soil: str
    depth_m: FloatArray
    zone: RootZone
    surface_mm: FloatArray
    is_up: NDArray[np.bool_]
    is_short: NDArray[np.bool_]
    life: FloatArray
    use: WaterUse
    use_source: str
    unread_days: int
    asks_from: int

    @cached_property
    def need(self) -> Days:
        """Each member's first day from today on that ends too dry; the day after the fortnight for none.

        Ground that was just watered is left to drink, however dry it still is below.
        """
        ahead = self.is_short[:, self.asks_from - self.begin :]
        first = np.where(ahead.any(axis=1), ahead.argmax(axis=1), ahead.shape[1])
        return (self.asks_from + first).astype(float)

    @property
    def closes(self) -> int:
        """The last day that is looked at."""
        return self.begin + self.is_short.shape[1] - 1

    @cached_property
    def needing_pct(self) -> int:
        return round(float((self.need <= self.closes).mean()) * 100)

    def median_on(self, curve: FloatArray, days: Days) -> float:
        """Return the median over members of a curve, each read on its own day."""
        at = np.minimum(np.maximum(days - self.begin, 0), curve.shape[1] - 1).astype(int)
        return median(curve[np.arange(curve.shape[0]), at])


def water_use(crop: Crop) -> tuple[WaterUse, str]:
    """Return what the crop takes from the soil and where that was published."""
    if not all(crop.has(name) for name in _FACTS):
        return GENERAL_USE, GENERAL_USE_SOURCE
    initial, development, middle, late = (float(each) for each in _series(crop, "stage_shares"))
    use = WaterUse(
        kc_ini=crop.number("kc_ini"),
        kc_mid=crop.number("kc_mid"),
        kc_end=crop.number("kc_end"),
        root_depth_m=crop.number("root_depth_m"),
        depletion_p=crop.number("depletion_p"),
        stage_shares=(initial, development, middle, late),
    )
    return use, joined(*(crop.fact(name).source for name in _FACTS))


def _series(crop: Crop, name: str) -> tuple[float, ...]:
    value = crop.fact(name).value
    return value if isinstance(value, tuple) else ()


def stands(ground: Ground) -> bool:
    """True where the crop is in the ground today."""
    lifted = ground.record.get(f"{ground.request.key}/{Kind.LIFT}")
    is_lifted = lifted is not None and lifted.state is State.DONE
    return ground.sowing.is_done and not is_lifted and _sown(ground) <= ground.curves.today


def waterings(ground: Ground) -> dict[int, int]:
    """Return the days on which it was watered, by the stage under which that was recorded."""
    prefix = f"{ground.request.key}/{Kind.WATER}-"
    days = {
        int(key.removeprefix(prefix)): ground.curves.climate.index_of(outcome.on)
        for key, outcome in ground.record.items()
        if key.startswith(prefix) and outcome.state is State.DONE and outcome.on
    }
    return dict(sorted(days.items()))


@lru_cache(maxsize=1)
def account_of(ground: Ground) -> Account | None:
    """Draw up the account; None where nothing is known of the site's rain.

    A watering that was recorded counts as a soaking of 30 mm. Rain too small to wet roots is taken to
    wet nothing. What was before nine months ago is not looked at.
    """
    curves, request = ground.curves, ground.request
    if not curves.climate.knows_rain:
        return None
    sown = _sown(ground)
    begin = max(sown, curves.today - LONGEST_DAYS)
    use, source = water_use(ground.crop)
    soil = ground.site.soil
    if request.container_height_cm:
        soil = "mix"
        use = replace(use, root_depth_m=min(use.root_depth_m, request.container_height_cm / 100))

    window = slice(begin, min(curves.today + LOOK_DAYS + 1, curves.horizon))
    days = np.arange(window.start, window.stop)
    given = _given_mm(ground, days)
    surface = _surface_of(ground, window, given)
    starts, ends = _lifetime(ground)
    life = share_of_life(days, starts, ends)
    depth = rooting_depth_m(days, starts, ends, use)
    zone = root_zone(
        surface.rain_mm,
        curves.shared.et0_mm[:, window],
        drying_coefficient(crop_coefficient(days, starts, ends, use), life, surface.reduction, use),
        depth,
        depletion_p=use.depletion_p,
        soil=soil,
        start_mm=surface.start_mm,
        given_mm=given,
    )
    is_up = days >= starts
    is_dry = is_parched(surface.lacks_mm, soil)
    is_short = np.where(is_up, zone.is_short & (life < _drinks_until(ground, use)), is_dry)
    past = curves.climate.rain_mm[:, begin : curves.today]
    return Account(
        begin=begin,
        today=curves.today,
        soil=soil,
        depth_m=depth,
        zone=zone,
        surface_mm=surface.lacks_mm,
        is_up=is_up,
        is_short=is_short,
        life=life,
        use=use,
        use_source=source,
        unread_days=int((past != past[:1]).any(axis=0).sum()),
        asks_from=max([curves.today, *(day + LEFT_TO_DRINK_DAYS for day in waterings(ground).values())]),
    )


def _surface_of(ground: Ground, window: slice, given: FloatArray) -> Surface:
    """Follow the top of the ground through a window, in a container from a soaking on.

    Until somebody waters, that hangs on the site and the first day alone. It is kept for each first day,
    which are no more than ``LONGEST_DAYS``, in open ground and in a container.
    """
    is_container = bool(ground.request.container_height_cm)

    def follow() -> Surface:
        shared = ground.curves.shared
        soil = "mix" if is_container else ground.site.soil
        start = shared.surface_depletion_mm[:, max(0, window.start - 1)]
        start = np.zeros(shared.members) if is_container else start
        et0 = shared.et0_mm[:, window]
        rain = effective_rain_mm(shared.climate.rain_mm[:, window], et0)
        lacks = surface_depletion_mm(rain + given, et0, soil, start_mm=start)
        wetted = np.maximum(np.column_stack([start, lacks[:, :-1]]) - rain - given, 0.0)
        return Surface(start, rain, lacks, evaporation_reduction(wetted, soil))

    if given.any():
        return follow()
    return ground.curves.shared.once(("surface", is_container, window.start, window.stop), follow)


def is_grown(ground: Ground) -> bool:
    """True where the crop has grown in most members, or its bulbs ripen: water does it no more good."""
    use, _ = water_use(ground.crop)
    life = share_of_life(ground.curves.today, *_lifetime(ground))
    return bool((life >= _drinks_until(ground, use)).mean() >= 0.5)


def _lifetime(ground: Ground) -> tuple[FloatArray, FloatArray]:
    """Return the day it shows or is planted and the day of the last lifting, shape (members, 1)."""
    starts = ground.growth.stage_start
    ends = np.minimum(ground.growth.ripe_last, ground.growth.stops)
    if not ground.request.has_days:
        ends = starts + UNDATED_DAYS
    return starts[:, None], ends[:, None]


def _drinks_until(ground: Ground, use: WaterUse) -> float:
    """Return the share of its life through which water helps: bulbs ripen dry, perennials never end."""
    if not ground.request.has_days:
        return np.inf
    return stage_ends(use)[2] if ground.is_true("check_necks") else 1.0


def _given_mm(ground: Ground, days: NDArray[np.int64]) -> FloatArray:
    """Return what was given by hand on each day."""
    return np.where(np.isin(days, list(waterings(ground).values())), SOAKING_MM, 0.0)


def _sown(ground: Ground) -> int:
    return max(0, percentile(ground.sowing.taken, MIDDLE_PCT))
