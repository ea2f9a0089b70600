"""A standing sowing's account of water: how dry its ground is and will be within a fortnight."""

from dataclasses import dataclass, replace
from functools import lru_cache

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


@dataclass(frozen=True, slots=True, eq=False)
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

    @property
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

    @property
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
    soil, start = ground.site.soil, curves.shared.surface_depletion_mm[:, max(0, begin - 1)]
    if request.container_height_cm:
        soil, start = "mix", np.zeros(curves.members)
        use = replace(use, root_depth_m=min(use.root_depth_m, request.container_height_cm / 100))

    window = slice(begin, min(curves.today + LOOK_DAYS + 1, curves.horizon))
    days = np.arange(window.start, window.stop)
    et0 = curves.shared.et0_mm[:, window]
    rain = effective_rain_mm(curves.climate.rain_mm[:, window], et0)
    given = _given_mm(ground, days)
    starts, ends = _lifetime(ground)
    life = share_of_life(days, starts, ends)
    depth = rooting_depth_m(days, starts, ends, use)
    surface = surface_depletion_mm(rain + given, et0, soil, start_mm=start)
    wetted = np.maximum(np.column_stack([start, surface[:, :-1]]) - rain - given, 0.0)
    kc = crop_coefficient(days, starts, ends, use)
    zone = root_zone(
        rain,
        et0,
        drying_coefficient(kc, life, evaporation_reduction(wetted, soil), use),
        depth,
        depletion_p=use.depletion_p,
        soil=soil,
        start_mm=start,
        given_mm=given,
    )
    is_up = days >= starts
    is_short = np.where(is_up, zone.is_short & (life < _drinks_until(ground, use)), is_parched(surface, soil))
    past = curves.climate.rain_mm[:, begin : curves.today]
    return Account(
        begin=begin,
        today=curves.today,
        soil=soil,
        depth_m=depth,
        zone=zone,
        surface_mm=surface,
        is_up=is_up,
        is_short=is_short,
        life=life,
        use=use,
        use_source=source,
        unread_days=int((past != past[:1]).any(axis=0).sum()),
        asks_from=max([curves.today, *(day + LEFT_TO_DRINK_DAYS for day in waterings(ground).values())]),
    )


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
