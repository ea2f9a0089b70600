"""What follows a sowing by its own warmth: showing through, stages of growth, maturity, standstill."""

from dataclasses import dataclass

import numpy as np

from schedules.agronomy.emergence import emergence_index
from schedules.agronomy.thermal_time import maturity_degree_days
from schedules.planner.curves import Curves
from schedules.planner.seasons import Season
from schedules.planner.types import SowingRequest
from schedules.planner.windows import Days, fixed


@dataclass(frozen=True, slots=True, eq=False)
class Growth:
    """Member days from emergence to the end of growth. ``emergence`` is None for sets and tubers."""

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
        """True when most members see the rows show before growth stops."""
        return self.emergence is None or bool((self.emergence < self.stops).mean() >= 0.5)


def growth_of(request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], sown: Days) -> Growth:
    """Follow each member from its day of sowing."""
    base_c = request.crop.number("base_c")

    def ripe_after(days: float) -> Days:
        return curves.heat_reached(sown, maturity_degree_days(days, base_c))

    emergence = _emergence(request, curves, sown)
    return Growth(
        emergence=emergence,
        stage_start=sown if emergence is None else emergence,
        ripe_first=ripe_after(request.days_min),
        ripe_middle=ripe_after(request.days_middle),
        ripe_last=ripe_after(request.days_max),
        stops=growth_stops(seasons, sown, curves.horizon),
    )


def growth_stops(seasons: tuple[Season, ...], sown: Days, horizon: int) -> Days:
    """Return each member's first end of a season on or after its sowing."""
    stops = fixed(horizon, sown.size)
    for season in reversed(seasons):
        stops = np.where(season.ends >= sown, season.ends, stops)
    return stops


def _emergence(request: SowingRequest, curves: Curves, sown: Days) -> Days | None:
    if request.crop.germination is None:
        return None
    index = emergence_index(request.crop.germination, curves.rows_c, sown.astype(int))
    return curves.or_horizon(index)
