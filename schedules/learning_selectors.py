"""What a site's own record teaches: its soil against the estimate, its liftings against heat sums.

Nothing here writes. One object reads the weather once and serves every question put to it on that day.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from plots.crops import Crop
from plots.crops import crop as crop_of
from plots.models import Site, Sowing
from schedules.agronomy.climate import ClimateFault, DailyWeather, Ensemble, Normals, ensemble
from schedules.agronomy.site_learning import (
    USED_DEPTHS_MM,
    GrowthLearning,
    Lifting,
    SoilLearning,
    growth_factor,
    soil_correction,
)
from schedules.agronomy.soil_temperature import soil_temperature_c
from schedules.agronomy.warmth import degree_days_of as heat_of
from schedules.models import Reading
from schedules.planner import SowingRequest
from schedules.planner.demands import base_c, counts_by_calendar, degree_days_of, optimum_c, raised_days
from schedules.reading_selectors import readings_standing
from schedules.weather_selectors import monthly_normals, observed_weather

FloatArray = NDArray[np.float64]

# The estimate follows the air of about a month; it is trusted where nearly all of that was observed.
LEAD_DAYS = 60
RESTS_ON_DAYS = 30
KNOWN_SHARE = 0.8
KNOWN_SHARE_OF_GROWTH = 0.9
LONGEST_MEMORY = timedelta(days=10 * 366)
MOST_ROWS = 2000


@dataclass(frozen=True)
class SiteHistory:
    """A site's record as it was known at the beginning of a day."""

    site: Site
    today: date

    @cached_property
    def observed(self) -> DailyWeather | None:
        return observed_weather(self.site, before=self.today)

    @cached_property
    def normals(self) -> Normals | None:
        return monthly_normals(self.site)

    def weather(self, *, first: date, days: int) -> Ensemble:
        """Weather from a day on; raises ClimateFault when the site has neither record nor normals."""
        return ensemble(
            observed=self.observed, normals=self.normals, today=self.today, first=first, days=days
        )

    @cached_property
    def soil(self) -> SoilLearning:
        """What thermometer readings say of the soil estimate. Without readings: one query."""
        readings = self._soil_readings
        if not readings or self.observed is None:
            return SoilLearning()
        first = readings[0].day - timedelta(days=LEAD_DAYS)
        try:
            estimate_c = self._soil_estimate_c(first, (self.today - first).days + 1)
        except ClimateFault:
            return SoilLearning()
        at = np.array([(reading.day - first).days for reading in readings])
        errors_c = np.array([reading.value for reading in readings]) - estimate_c[at]
        errors_c[self._known_share(readings) < KNOWN_SHARE] = np.nan
        days = [np.datetime64(reading.day, "D") for reading in readings]
        return soil_correction(days, errors_c, np.datetime64(self.today, "D"))

    def soil_estimate_c(self) -> float | None:
        """Today's uncorrected estimate; None where there is no weather."""
        first = self.today - timedelta(days=LEAD_DAYS)
        try:
            return float(self._soil_estimate_c(first, LEAD_DAYS + 1)[-1])
        except ClimateFault:
            return None

    def growth(self, crops: Collection[str]) -> Mapping[str, GrowthLearning]:
        """By crop, how far liftings stretch its heat sum; crops without any are left out. One query."""
        liftings = list(self._liftings(crops))
        if not liftings or self.observed is None:
            return {}
        first = min(sown for _, sown, _ in liftings)
        try:
            weather = self.weather(first=first, days=(self.today - first).days + 1)
        except ClimateFault:
            return {}
        heat = _Heat(weather, self.observed, self.today)
        found: dict[str, list[Lifting]] = defaultdict(list)
        for key, sown, lifted in liftings:
            lifting = heat.of(crop_of(key), sown, lifted)
            if lifting is not None:
                found[key].append(lifting)
        return {key: growth_factor(each) for key, each in found.items()}

    @cached_property
    def _soil_readings(self) -> list[Reading]:
        rows = readings_standing(self.site).filter(
            quantity=Reading.Quantity.SOIL,
            depth_mm__range=USED_DEPTHS_MM,
            day__range=(self.today - LONGEST_MEMORY, self.today),
        )
        return list(rows.reverse()[:MOST_ROWS])[::-1]

    def _soil_estimate_c(self, first: date, days: int) -> FloatArray:
        estimate: FloatArray = soil_temperature_c(self.weather(first=first, days=days).tmean_c).mean(axis=0)
        return estimate

    def _known_share(self, readings: list[Reading]) -> FloatArray:
        """Which share of the days that the estimate at each reading rests on was observed."""
        assert self.observed is not None
        known = self.observed.dates[self.observed.whole]
        ends = np.array([np.datetime64(reading.day, "D") for reading in readings])
        begins = ends - RESTS_ON_DAYS
        counts = np.searchsorted(known, ends) - np.searchsorted(known, begins)
        return np.asarray(counts / RESTS_ON_DAYS, dtype=float)

    def _liftings(self, crops: Collection[str]) -> Iterator[tuple[str, date, date]]:
        wanted = [key for key in crops if not counts_by_calendar(crop_of(key)) and _has_days(crop_of(key))]
        if not wanted:
            return
        rows = Sowing.objects.filter(
            patch__site=self.site,
            crop__in=wanted,
            state=Sowing.State.LIFTED,
            sown_on__gte=self.today - LONGEST_MEMORY,
            ended_on__lte=self.today,
        )
        for key, sown, lifted in rows.order_by("-ended_on", "-pk").values_list("crop", "sown_on", "ended_on")[
            :MOST_ROWS
        ]:
            if sown is not None and lifted is not None:
                yield key, sown, lifted


class _Heat:
    """Degree days of one stretch of weather for several crops, each base and optimum added up once."""

    def __init__(self, weather: Ensemble, observed: DailyWeather, today: date) -> None:
        self._weather, self._today = weather, today
        self._known = observed.dates[observed.whole]
        self._sums: dict[tuple[float, float], FloatArray] = {}

    def of(self, crop: Crop, sown: date, lifted: date) -> Lifting | None:
        """What a lifting shows; None where too little of its weather was observed."""
        end = min(lifted, self._today - timedelta(days=1))  # today's warmth is not in yet
        length = (end - sown).days + 1
        if length < 1 or self._days_known(sown, end) < KNOWN_SHARE_OF_GROWTH * length:
            return None
        sums = self._sum(base_c(crop), optimum_c(crop))
        begin, stop = (sown - self._weather.first).days, (end - self._weather.first).days + 1
        request = SowingRequest(key=crop.key, crop=crop, sow_on=None, not_before=sown)
        first, middle, last = (
            degree_days_of(crop, max(1.0, days - raised_days(crop)))
            for days in (request.days_min, request.days_middle, request.days_max)
        )
        return Lifting(
            gathered_cd=float(sums[stop] - sums[begin]),
            last_month_cd=float(sums[stop] - sums[max(begin, stop - RESTS_ON_DAYS)]),
            first_cd=first,
            middle_cd=middle,
            last_cd=last,
            waits=_waits(crop),
        )

    def _days_known(self, first: date, last: date) -> int:
        begin, end = np.datetime64(first, "D"), np.datetime64(last, "D")
        return int(np.searchsorted(self._known, end, side="right") - np.searchsorted(self._known, begin))

    def _sum(self, base: float, optimum: float) -> FloatArray:
        if (base, optimum) not in self._sums:
            daily = heat_of(self._weather, base, optimum)
            self._sums[base, optimum] = np.concatenate([[0.0], np.cumsum(daily.mean(axis=0))])
        return self._sums[base, optimum]


def _has_days(crop: Crop) -> bool:
    return crop.has("days_to_maturity_min")


def _waits(crop: Crop) -> bool:
    """Whether a crop may be left when it is ready. What is sown little and often may not: it soon spoils."""
    return not crop.has("resow_min_days")
