"""The site's warmth as one sowing meets it: air, soil and thermal time, members by days."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.kernel import reached_days
from schedules.agronomy.seedbed_water import BARE_SOIL_KC, is_workable
from schedules.agronomy.soil_temperature import COVER_WARMTH_C, RUNNING_DAYS, soil_temperature_c
from schedules.planner.site_curves import BoolArray, FloatArray, SiteCurves
from schedules.planner.types import Cover, Values
from schedules.planner.windows import Days, median

STAYS_ON = frozenset({Cover.FLEECE, Cover.FILM})
SHEDS_RAIN = frozenset({Cover.CLEAR, Cover.BLACK, Cover.FILM})


@dataclass(frozen=True, eq=False)
class Curves:
    """Air, soil and heat of one site for one crop under one cover.

    ``soil_c`` is bare ground; ``seedbed_c`` has the cover on until sowing, ``rows_c`` what stays on after.
    A cover warms the ground from ``laid`` on, as slowly as the soil follows the air. Warmth is counted above
    ``base_c`` and not above ``optimum_c``.
    """

    shared: SiteCurves
    base_c: float
    cover: Cover
    laid: int
    today: int
    optimum_c: float | None = None

    @property
    def climate(self) -> Ensemble:
        return self.shared.climate

    @property
    def first(self) -> date:
        return self.shared.first

    @property
    def members(self) -> int:
        return self.shared.members

    @property
    def horizon(self) -> int:
        return self.shared.horizon

    @property
    def air_c(self) -> FloatArray:
        return self.shared.air_c

    @property
    def soil_c(self) -> FloatArray:
        return self.shared.soil_c

    def soil_under(self, cover: Cover) -> FloatArray:
        """Return the soil estimate with a cover on, which adds its warmth in proportion to the sun.

        The model is linear, so that the warmth is followed by itself and added.
        """
        warmth_c = float(COVER_WARMTH_C[cover])
        if not warmth_c:
            return self.soil_c
        laid = max(0, self.laid)

        def warmed() -> FloatArray:
            begin, soil_c = max(0, laid - RUNNING_DAYS), self.soil_c.copy()
            gain_c = warmth_c * self.shared.sun_share[:, begin:]
            gain_c[:, : laid - begin] = 0.0
            soil_c[:, begin:] += soil_temperature_c(gain_c, start_c=0.0)
            return soil_c

        return self.shared.once(("soil under", warmth_c, laid), warmed)

    def soil_between(self, cover: Cover, laid: int, begin: int, stop: int) -> FloatArray:
        """Return the soil of some days as it would be with a cover laid on another day than this one's."""
        since = max(0, laid - RUNNING_DAYS)
        gain_c = float(COVER_WARMTH_C[cover]) * self.shared.sun_share[:, since:stop]
        gain_c[:, : laid - since] = 0.0
        return self.soil_c[:, begin:stop] + soil_temperature_c(gain_c, start_c=0.0)[:, begin - since :]

    def workable_under(self, cover: Cover) -> BoolArray:
        """Return the days on which the seed-bed is dry enough to work; all of them where no rain is known.

        A day is as dry as the evening before left it, less the rain of the day. Under a sheet that sheds
        rain what falls after it was laid does not count. Ground that is never wetted loses water at the full
        rate until well past the bound, so that it needs no balance of its own.
        """
        depletion_mm = self.shared.morning_depletion_mm
        if cover not in SHEDS_RAIN or not self.shared.knows_rain or self.laid >= self.horizon:
            return is_workable(depletion_mm, self.shared.site.soil)
        laid = max(self.laid, 0)
        begins_mm = depletion_mm[:, laid - 1 : laid] if laid else np.zeros((self.members, 1))
        dried_mm = begins_mm + BARE_SOIL_KC * np.cumsum(self.shared.et0_mm[:, laid:], axis=1)
        return is_workable(np.concatenate([depletion_mm[:, :laid], dried_mm], axis=1), self.shared.site.soil)

    @cached_property
    def seedbed_c(self) -> FloatArray:
        return self.soil_under(self.cover)

    @property
    def rows_c(self) -> FloatArray:
        return self.seedbed_c if self.cover in STAYS_ON else self.soil_c

    @property
    def degree_days(self) -> FloatArray:
        return self.shared.degree_days(self.base_c, self.optimum_c)

    @cached_property
    def heat_sum(self) -> FloatArray:
        """Degree days gathered before each day, with one column more than there are days."""
        return self.shared.heat_sum(self.base_c, self.optimum_c)

    @cached_property
    def basis(self) -> Values:
        """What every computed date rests on: so many past years, or normals and their spread."""
        if self.climate.basis == "years":
            return {"basis": "years", "basis_years": self.climate.members}
        return {"basis": "normals", "spread_c": round(float(self.climate.spread_c), 1)}

    def index_of(self, day: date, field: str) -> int:
        return self.shared.index_of(day, field)

    def heat_reached(self, start: Days, total: float) -> Days:
        """Return the day on which each member has gathered ``total`` degree days from ``start`` on."""
        return self.heats_reached(start, (total,))[0]

    def heats_reached(self, start: Days, totals: Sequence[float]) -> FloatArray:
        """Return those days of several totals, totals by members, found in one search."""
        begun = np.minimum(np.maximum(start, 0), self.horizon).astype(int)
        laid = self.shared.heat_end_to_end(self.base_c, self.optimum_c)
        return reached_days(laid, begun[None, :], np.array(totals))[0].astype(float)

    def median_on(self, curve: FloatArray, days: Days) -> float:
        """Return the median over members of a curve, each read on its own day, to a tenth of a degree."""
        at = np.minimum(np.maximum(days, 0), self.horizon - 1).astype(int)
        return round(median(curve[np.arange(self.members), at]), 1)
