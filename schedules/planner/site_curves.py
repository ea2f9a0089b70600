"""What the weather of a site gives to all its sowings alike, worked out once and shared between them."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.evapotranspiration import hargreaves_mm
from schedules.agronomy.frost_odds import last_frost_of
from schedules.agronomy.kernel import EndToEnd, end_to_end, running_sums
from schedules.agronomy.radiation import (
    daylight_hours,
    extraterrestrial_mj,
    radiation_from_temperatures_mj,
)
from schedules.agronomy.seedbed_water import is_parched, surface_depletion_mm
from schedules.agronomy.soil_temperature import COVER_SUN_MJ, soil_temperature_c
from schedules.agronomy.thermal_time import NEVER
from schedules.agronomy.warmth import degree_days_of
from schedules.planner.types import PlanFault, SiteFacts
from schedules.planner.windows import percentile

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class SiteCurves:
    """Air, bare soil, daylight and heat sums of one ensemble at one site, members by days.

    Nothing here depends on a crop, a cover, a record or today, so that one object serves every sowing that is
    planned over the same ensemble. Arrays are read, never written to.
    """

    climate: Ensemble
    site: SiteFacts
    _kept: dict[Hashable, Any] = field(default_factory=dict, repr=False)

    @property
    def first(self) -> date:
        return self.climate.first

    @cached_property
    def members(self) -> int:
        return self.climate.members

    @cached_property
    def horizon(self) -> int:
        return int(self.climate.tmin_c.shape[1])

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what was made under ``key`` before, or make it now; the key must name all it depends on."""
        if key not in self._kept:
            self._kept[key] = make()
        kept: T = self._kept[key]
        return kept

    @cached_property
    def air_c(self) -> FloatArray:
        return self.climate.tmean_c

    @cached_property
    def soil_c(self) -> FloatArray:
        """Bare soil at sowing depth, with the site's own correction where it has thermometer readings."""
        return soil_temperature_c(self.air_c) + self.site.soil_correction_c

    @cached_property
    def day_of_year(self) -> FloatArray:
        """Day within the year of every day of the window, 1 January = 1."""
        dates = np.datetime64(self.first, "D") + np.arange(self.horizon)
        return (dates - dates.astype("datetime64[Y]")).astype(float) + 1

    @cached_property
    def daylight_hours(self) -> FloatArray:
        return daylight_hours(self.day_of_year, self.site.latitude)

    @property
    def knows_rain(self) -> bool:
        return self.climate.knows_rain

    @cached_property
    def et0_mm(self) -> FloatArray:
        return hargreaves_mm(self.climate.tmin_c, self.climate.tmax_c, self.day_of_year, self.site.latitude)

    @cached_property
    def surface_depletion_mm(self) -> FloatArray:
        """What the top of bare ground lacks of water; NaN throughout where no rain is known."""
        if not self.knows_rain:
            return np.full(self.air_c.shape, np.nan)
        return surface_depletion_mm(self.climate.rain_mm, self.et0_mm, self.site.soil)

    @cached_property
    def morning_depletion_mm(self) -> FloatArray:
        """What the surface lacks when the day's rain has fallen and nothing has dried again yet."""
        evening_mm = self.surface_depletion_mm[:, :-1]
        begins_mm = np.zeros((self.members, 1)) if self.knows_rain else np.full((self.members, 1), np.nan)
        evening_mm = np.concatenate([begins_mm, evening_mm], axis=1)
        return np.maximum(evening_mm - self.climate.rain_mm, 0.0)

    @cached_property
    def parched(self) -> BoolArray:
        """Days on which bare ground is too dry at sowing depth for seed to come on."""
        return is_parched(self.surface_depletion_mm, self.site.soil)

    @cached_property
    def sun_share(self) -> FloatArray:
        """How much of the sun of the weeks in which covers were measured reaches the ground, at most all."""
        above = extraterrestrial_mj(self.day_of_year, self.site.latitude)
        sun = radiation_from_temperatures_mj(self.climate.tmin_c, self.climate.tmax_c, above)
        return np.minimum(sun / COVER_SUN_MJ, 1.0)

    def last_frost_on(self, coldest: int, warmest: int, pct: float) -> int:
        """Return a percentile over members of a spring's last frost; the coldest day where none has any."""
        begin, stop = max(coldest, 0), min(warmest, self.horizon)
        if stop <= begin:
            return begin

        def look() -> int:
            last = last_frost_of(self.climate, begin, stop)
            return percentile(np.where(last == NEVER, begin, last).astype(float), pct)

        return self.once(("last frost", coldest, warmest, pct), look)

    def degree_days(self, base_c: float, upper_c: float | None = None) -> FloatArray:
        """Return each day's warmth above a base, none counted above ``upper_c``."""
        return self.once(
            ("degree days", base_c, upper_c),
            lambda: degree_days_of(self.climate, base_c, upper_c),
        )

    def heat_sum(self, base_c: float, upper_c: float | None = None) -> FloatArray:
        """Return the degree days gathered before each day, with one column more than there are days."""
        return self.once(
            ("heat sum", base_c, upper_c), lambda: running_sums(self.degree_days(base_c, upper_c))
        )

    def heat_end_to_end(self, base_c: float, upper_c: float | None = None) -> EndToEnd:
        """Return the heat sums of all members in one row, to be searched at once."""
        return self.once(
            ("heat end to end", base_c, upper_c), lambda: end_to_end(self.heat_sum(base_c, upper_c))
        )

    def index_of(self, day: date, field_name: str) -> int:
        """Return the index of a day, or raise PlanFault naming the field that asked for it."""
        index = (day - self.first).days
        if not 0 <= index < self.horizon:
            raise PlanFault(
                f"{field_name}: {day} lies outside the weather that was laid out; build it with span()"
            )
        return index
