"""Growing seasons of a site, read off its own warmth and daylight, in either hemisphere."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.radiation import daylight_hours
from schedules.planner.curves import Curves
from schedules.planner.site_curves import FloatArray, SiteCurves
from schedules.planner.windows import EARLY_PCT, Days, fixed, percentile

SHORT_DAY_HOURS, MILD_SHORT_DAY_HOURS = 10.0, 9.0
# Köppen's letter i (isothermal), from memory: Handbuch der Klimatologie I C, 1936.
ALIKE_C, MONTH_DAYS = 5.0, 30
MILD_WINTER_C = 8.0
AUTUMN_ALLOWANCE_DAYS = 14
SMOOTH_DAYS = 15
YEAR_DAYS, HALF_YEAR_DAYS = 365.2425, 183
WAVE_DAYS = 730
# Any latitude with a sunset every day gives the same solstice.
SUNSET_LATITUDE = 45.0


@dataclass(frozen=True, slots=True, eq=False)
class Season:
    """One growing season: its first day, and the day on which growth ends in each member.

    ``opens`` is the first day of ten hours of daylight, ``midsummer`` the solstice, ``until`` the coldest
    time that ends its year, ``shortest`` the shortest day. Where growth never ``rests``, ``ends`` lies at the
    horizon; a place whose months are all alike has one season without any of them.
    """

    begins: int
    opens: int
    ends: Days
    midsummer: int
    until: int
    shortest: int
    rests: bool = True

    @property
    def median_end(self) -> int:
        return percentile(self.ends, 50)

    def lasts_to(self, day: int) -> bool:
        """True where the season, or its year where growth never rests, is not over before a day."""
        return (self.median_end if self.rests else self.until) >= day

    def last_useful(self, curves: Curves, degree_days: float) -> Days:
        """Return each member's latest day from which a fortnight before the end still brings the crop on.

        The fortnight stands for the slower growth of short days. A member whose season is too short answers
        the day before it begins.
        """
        closing = np.clip(self.ends - AUTUMN_ALLOWANCE_DAYS, 0, curves.horizon).astype(int)
        spare = curves.heat_sum[np.arange(curves.members), closing] - degree_days
        latest = (curves.heat_sum <= spare[:, None]).sum(axis=1) - 1
        latest = np.minimum(latest, closing)
        return np.maximum(latest, self.begins - 1).astype(float)

    def closes(self, curves: Curves, degree_days: float) -> int:
        """Return the last useful sowing day: the 20th percentile over members.

        All sowings of a crop ask it of the same season, and whole years are read for it: it is kept.
        """
        key = ("closes", self, curves.base_c, curves.optimum_c, degree_days)
        return curves.shared.once(key, lambda: percentile(self.last_useful(curves, degree_days), EARLY_PCT))


def seasons_of(shared: SiteCurves, base_c: float) -> tuple[Season, ...]:
    """Return the site's growing seasons within the weather laid out, earliest first.

    A season runs from the coldest time of the year to the first day after the warmest on which growth ends:
    daylight under ten hours, or the air's running mean under the crop's base. Where winter is mild, its
    coldest fortnight at 8 °C or more, short days slow growth and do not end it, as long as they have nine
    hours (common practice, no published source). A place that has no still day has years and no rest.
    """
    return shared.once(("seasons", base_c), lambda: _seasons(shared, base_c))


def _seasons(shared: SiteCurves, base_c: float) -> tuple[Season, ...]:
    air_c = smoothed_air_c(shared)
    is_mild = np.median(air_c[:, -WAVE_DAYS:].min(axis=1)) >= MILD_WINTER_C
    short = shared.daylight_hours < (MILD_SHORT_DAY_HOURS if is_mild else SHORT_DAY_HOURS)
    still = short[None, :] | (air_c < base_c)
    rests = bool(still.mean(axis=0).round().any())
    endless = fixed(shared.horizon, shared.members)
    if not rests and months_are_alike(shared):
        return (
            Season(
                0, 0, endless, midsummer=0, until=shared.horizon - 1, shortest=shared.horizon - 1, rests=False
            ),
        )
    seasons = (
        Season(
            begins=max(0, coldest),
            opens=_first_long_day(short, coldest, warmest),
            ends=_first_after(still, warmest, until) if rests else endless,
            midsummer=max(0, _solstice(shared, coldest, until)),
            until=min(until, shared.horizon - 1),
            shortest=_solstice(shared, coldest, until) + HALF_YEAR_DAYS,
            rests=rests,
        )
        for coldest, warmest, until in turns_of(shared)
    )
    return tuple(season for season in seasons if season.median_end > season.begins)


def months_are_alike(shared: SiteCurves) -> bool:
    """True where the warmest month is less than 5 °C above the coldest: Köppen's isothermal climates, i."""
    usual_c = np.median(shared.air_c[:, -WAVE_DAYS:], axis=0)
    months_c = np.convolve(usual_c, np.full(MONTH_DAYS, 1 / MONTH_DAYS), mode="valid")
    return bool(months_c.max() - months_c.min() < ALIKE_C)


def _first_long_day(short: NDArray[np.bool_], coldest: int, warmest: int) -> int:
    """Return the day after the last short one of winter, no earlier than the coldest time."""
    begin, stop = max(0, coldest), max(0, min(warmest, short.size))
    dark = np.flatnonzero(short[begin:stop])
    return begin if dark.size == 0 else begin + int(dark[-1]) + 1


def _solstice(shared: SiteCurves, coldest: int, until: int) -> int:
    """Return the longest day as a place of this hemisphere with a sunset has it.

    It may lie before the weather laid out. Under the midnight sun a hundred days are equally long, on the
    equator all of them.
    """
    dates = np.datetime64(shared.first, "D") + np.arange(coldest, until)
    day_of_year = (dates - dates.astype("datetime64[Y]")).astype(float) + 1
    latitude = SUNSET_LATITUDE * (-1.0 if shared.site.southern else 1.0)
    return coldest + int(daylight_hours(day_of_year, latitude).argmax())


def smoothed_air_c(shared: SiteCurves) -> FloatArray:
    """Return the site's fortnight means of air, members by days."""
    return shared.once("smoothed air", lambda: _smoothed(shared.air_c))


def _smoothed(air_c: FloatArray) -> FloatArray:
    """Return the centred running mean, shortened at both ends."""
    days = air_c.shape[1]
    sums = np.concatenate([np.zeros((air_c.shape[0], 1)), np.cumsum(air_c, axis=1)], axis=1)
    low = np.maximum(np.arange(days) - SMOOTH_DAYS // 2, 0)
    high = np.minimum(np.arange(days) + SMOOTH_DAYS // 2 + 1, days)
    return (sums[:, high] - sums[:, low]) / (high - low)


def turns_of(shared: SiteCurves) -> list[tuple[int, int, int]]:
    """Return the site's turning points, found once."""
    return shared.once("turning points", lambda: turning_points(shared.air_c))


def turning_points(air_c: FloatArray) -> list[tuple[int, int, int]]:
    """Return (coldest, warmest, next coldest) days of each year of the best-fitting yearly wave.

    The wave is fitted to the last two years of the window, which lie ahead of today: what was observed this
    spring, and how far back the window begins, must not move midsummer.
    """
    days = air_c.shape[1]
    at = np.arange(max(0, days - WAVE_DAYS), days)
    angle = 2 * np.pi * at / YEAR_DAYS
    waves = np.column_stack([np.ones_like(angle), np.cos(angle), np.sin(angle)])
    _, cosine, sine = np.linalg.lstsq(waves, air_c[:, at].mean(axis=0), rcond=None)[0]
    warmest = np.arctan2(sine, cosine) / (2 * np.pi) * YEAR_DAYS
    first = warmest - YEAR_DAYS * np.ceil(warmest / YEAR_DAYS + 0.5)
    peaks = np.arange(first, days, YEAR_DAYS)
    half = YEAR_DAYS / 2
    points = [(round(peak - half), round(peak), round(peak + half)) for peak in peaks]
    return [each for each in points if each[2] > 0 and each[0] < days]


def _first_after(still: NDArray[np.bool_], warmest: int, until: int) -> Days:
    """Return each member's first still day from the warmest day on; ``until`` when there is none."""
    days = still.shape[1]
    begin, stop = min(max(warmest, 0), days), min(max(until, 0), days)
    part = still[:, begin:stop]
    if part.shape[1] == 0:
        return fixed(stop, still.shape[0])
    return np.where(part.any(axis=1), begin + part.argmax(axis=1), stop).astype(float)
