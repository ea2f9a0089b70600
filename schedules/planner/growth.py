"""What follows a sowing by its own warmth: showing through, stages of growth, maturity, standstill."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from plots.crops import Crop, GerminationTable
from schedules.agronomy.emergence import FIELD_FLOOR_DAYS, IntArray, emergence_index
from schedules.agronomy.thermal_time import NEVER, reached_index
from schedules.planner.curves import Curves
from schedules.planner.demands import counts_by_calendar, grown_cd, raised_days
from schedules.planner.seasons import Season
from schedules.planner.site_curves import BoolArray
from schedules.planner.sowing import Sowing
from schedules.planner.types import SowingRequest
from schedules.planner.windows import Days, fixed

WARMEST_SUMMED_C = 17.0
# Seed that has lain four months is not counted on: common practice, no published source.
LONGEST_EMERGENCE_DAYS = 120
SOON_DAYS = 60
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
    never = fixed(curves.horizon, sown.size)
    ripe_first, ripe_middle, ripe_last = _ripe(request, curves, sown) if request.has_days else (never,) * 3
    emergence = emergence_of(request, curves, sown) if showed is None else np.maximum(sown, showed)
    return Growth(
        sown=sown,
        emergence=emergence,
        stage_start=sown if emergence is None else emergence,
        ripe_first=ripe_first,
        ripe_middle=ripe_middle,
        ripe_last=ripe_last,
        stops=never if counts_by_calendar(request.crop) else growth_stops(seasons, sowing, curves.horizon),
    )


def _ripe(request: SowingRequest, curves: Curves, sown: Days) -> tuple[Days, Days, Days]:
    """Return the days on which the fewest, the middle and the most published days have passed."""
    after = (request.days_min, request.days_middle, request.days_max)
    if counts_by_calendar(request.crop):
        raised = raised_days(request.crop)
        first, middle, last = (np.minimum(sown + max(1.0, days - raised), curves.horizon) for days in after)
    else:
        first, middle, last = curves.heats_reached(sown, [grown_cd(request, days) for days in after])
    return first, middle, last


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
        return _by_table(crop.germination, curves, sown)
    if crop.has("emergence_sum_cd"):
        return _by_sum(crop, curves, sown)
    return None


def _soon_or_late(curves: Curves, sown: Days, look: Callable[[slice, IntArray], IntArray]) -> Days:
    """Return the days that ``look`` finds in a part of the window, given the days of sowing counted from it.

    Nearly all seed shows within two months, and a search of those is ten times quicker than one of years.
    """
    begin = max(0, int(sown.min()))
    soon = min(int(sown.max()) + SOON_DAYS, curves.horizon)
    found = look(slice(begin, soon), sown.astype(int) - begin)
    if (found == NEVER).any():
        found = look(slice(begin, curves.horizon), sown.astype(int) - begin)
    return np.where(found == NEVER, curves.horizon, begin + found).astype(float)


def _by_table(table: GerminationTable, curves: Curves, sown: Days) -> Days:
    def look(part: slice, begun: IntArray) -> IntArray:
        held = parched_days(curves, sown, part)
        return emergence_index(table, curves.rows_c[:, part], begun, held=held)

    return _soon_or_late(curves, sown, look)


def _by_sum(crop: Crop, curves: Curves, sown: Days) -> Days:
    """Add up soil warmth above the base of emergence; past the warmest soil tried it comes no faster."""
    base_c, sum_cd = crop.number("emergence_base_c"), crop.number("emergence_sum_cd")

    def look(part: slice, begun: IntArray) -> IntArray:
        warmth = np.maximum(np.minimum(curves.rows_c[:, part], WARMEST_SUMMED_C) - base_c, 0.0)
        held = parched_days(curves, sown, part)
        return reached_index(warmth if held is None else np.where(held, 0.0, warmth), begun + 1, sum_cd)

    earliest = np.minimum(sown + FIELD_FLOOR_DAYS, curves.horizon)
    return np.maximum(_soon_or_late(curves, sown, look), earliest)


def parched_days(curves: Curves, sown: Days, part: slice) -> BoolArray | None:
    """Return on which days of a part of the window a sowing waits in dry ground; None where rain is unknown.

    The part begins no later than the sowing.

    The drill is watered as it is sown, which keeps the seed going for a week; after a fortnight's wait in all
    the bed is taken to be watered again, for the plan has asked for it by then (common practice, no published
    source). Fleece and mesh let rain and air through and change nothing.
    """
    if not curves.shared.knows_rain:
        return None
    days = np.arange(part.start, part.stop)
    waits = curves.shared.parched[:, part] & (days > sown[:, None] + WATERED_DAYS)
    return waits & (np.cumsum(waits, axis=1) <= LONGEST_WAIT_DAYS)
