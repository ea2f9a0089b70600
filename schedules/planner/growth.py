"""What follows a sowing by its own warmth: showing through, stages of growth, maturity, standstill."""

from dataclasses import dataclass

import numpy as np

from schedules.agronomy.emergence import FIELD_FLOOR_DAYS, emergence_index
from schedules.agronomy.thermal_time import reached_index
from schedules.planner.curves import Curves, FloatArray
from schedules.planner.demands import counts_by_calendar, grown_cd, raised_days
from schedules.planner.seasons import Season
from schedules.planner.site_curves import BoolArray
from schedules.planner.sowing import Sowing
from schedules.planner.types import SowingRequest
from schedules.planner.windows import Days, fixed

WARMEST_SUMMED_C = 17.0
# Seed that has lain four months is not counted on: common practice, no published source.
LONGEST_EMERGENCE_DAYS = 120
WATERED_DAYS = 7
LONGEST_WAIT_DAYS = 14


@dataclass(frozen=True, slots=True, eq=False)
class Growth:
    """Member days from emergence to the end of growth.

    ``emergence`` is None for what is planted, and for seed of which nothing is known. A crop without
    published days ripens at the horizon, which is never.
    """

    sown: Days
    emergence: Days | None
    stage_start: Days
    ripe_first: Days
    ripe_middle: Days
    ripe_last: Days
    stops: Days

    @property
    def is_cut_short(self) -> bool:
        """True when growth stops in most members before the first roots are ready."""
        return bool((self.ripe_first > self.stops).mean() > 0.5)

    @property
    def emerges(self) -> bool:
        """True when most members see the rows show before growth stops, and before the seed is lost."""
        if self.emergence is None:
            return True
        in_time = np.minimum(self.stops, self.sown + LONGEST_EMERGENCE_DAYS)
        return bool((self.emergence < in_time).mean() >= 0.5)


def growth_of(
    request: SowingRequest,
    curves: Curves,
    seasons: tuple[Season, ...],
    sowing: Sowing,
    showed: int | None = None,
) -> Growth:
    """Follow each member from its day of sowing, and from the day on which its rows were seen to show.

    What is sown in autumn to stand the winter young pauses in the cold and grows on: it ends with the season
    after.
    """
    sown = sowing.taken
    by_calendar = counts_by_calendar(request.crop)

    def ripe_after(days: float) -> Days:
        if by_calendar:
            return np.minimum(sown + max(1.0, days - raised_days(request.crop)), curves.horizon)
        return curves.heat_reached(sown, grown_cd(request, days))

    never = fixed(curves.horizon, sown.size)
    emergence = emergence_of(request, curves, sown) if showed is None else np.maximum(sown, showed)
    return Growth(
        sown=sown,
        emergence=emergence,
        stage_start=sown if emergence is None else emergence,
        ripe_first=ripe_after(request.days_min) if request.has_days else never,
        ripe_middle=ripe_after(request.days_middle) if request.has_days else never,
        ripe_last=ripe_after(request.days_max) if request.has_days else never,
        stops=never if by_calendar else growth_stops(seasons, sowing, curves.horizon),
    )


def growth_stops(seasons: tuple[Season, ...], sowing: Sowing, horizon: int) -> Days:
    """Return each member's end of growth: of the season that the sowing belongs to, in every member alike.

    A member whose season was over before the day of sowing grows no more in it; the next year is no part of
    the same window. What is to stand the winter young ends with the season after.
    """
    if not sowing.is_autumn:
        return np.maximum(sowing.season.ends, sowing.taken)
    stops = fixed(horizon, sowing.taken.size)
    for season in reversed(seasons):
        stops = np.where(season.ends >= np.maximum(sowing.taken, sowing.season.until), season.ends, stops)
    return stops


def emergence_of(request: SowingRequest, curves: Curves, sown: Days) -> Days | None:
    """Return each member's day of showing through; None for what is planted or of which nothing is known."""
    crop = request.crop
    if crop.grown_from != "seed":
        return None
    if crop.germination is not None:
        held = parched_days(curves, sown)
        return curves.or_horizon(
            emergence_index(crop.germination, curves.rows_c, sown.astype(int), held=held)
        )
    if crop.has("emergence_sum_cd"):
        return _emergence_by_sum(request, curves, sown)
    return None


def parched_days(curves: Curves, sown: Days) -> BoolArray | None:
    """Return the days on which a sowing waits in dry ground; None where no rain is known.

    The drill is watered as it is sown, which keeps the seed going for a week; after a fortnight's wait in all
    the bed is taken to be watered again, for the plan has asked for it by then (common practice, no published
    source). Fleece and mesh let rain and air through and change nothing.
    """
    if not curves.shared.knows_rain:
        return None
    waits = curves.shared.parched & (np.arange(curves.horizon) > sown[:, None] + WATERED_DAYS)
    return waits & (np.cumsum(waits, axis=1) <= LONGEST_WAIT_DAYS)


def _emergence_by_sum(request: SowingRequest, curves: Curves, sown: Days) -> Days:
    """Add up soil warmth above the base of emergence; past the warmest soil tried it comes no faster."""
    soil_c: FloatArray = np.minimum(curves.rows_c, WARMEST_SUMMED_C)
    warmth = np.maximum(soil_c - request.crop.number("emergence_base_c"), 0.0)
    held = parched_days(curves, sown)
    if held is not None:
        warmth = np.where(held, 0.0, warmth)
    summed = reached_index(warmth, sown.astype(int) + 1, request.crop.number("emergence_sum_cd"))
    return np.maximum(curves.or_horizon(summed), np.minimum(sown + FIELD_FLOOR_DAYS, curves.horizon))
