"""When insects are on the wing, from sums of daily warmth."""

from collections.abc import Callable, Mapping
from datetime import date
from functools import cache

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.flight_table import FlightEvent, FlightModel, flight_models
from schedules.agronomy.kernel import end_to_end, reached_days, running_sums
from schedules.agronomy.thermal_time import NEVER, FloatArray
from schedules.agronomy.warmth import degree_days_of

IntArray = NDArray[np.int64]
HeatSums = Callable[[float, float | None], FloatArray]

MODELS: Mapping[str, FlightModel] = flight_models()
"""Heat sums for the flights of every insect, by the insect's key."""

CARROT_FLY = MODELS["carrot-fly"]
"""The second flight can be later than the sum says after hot soil in July (Collier and Finch 1996)."""

# Newly formed pupae of the carrot fly pause in soil as warm as this (some from 24 °C, all from 28 °C) 4 to 10
# days after they formed: Collier and Finch 1996, Annals of Applied Biology (abstract).
PAUSE_SOIL_C = 24.0
PAUSE_DAYS = 4
PAUSE_SOURCE = (
    "Collier and Finch 1996, Annals of Applied Biology (abstract): newly formed pupae pause in soil of 24 to "
    "26 °C, all of them at 28 °C"
)


def flight_indices(
    model: FlightModel,
    ensemble: Ensemble,
    year: int,
    southern: bool,
    heat_sums: HeatSums | None = None,
) -> dict[str, IntArray]:
    """Find the day each event of a flight falls in each member.

    Parameters
    ----------
    model : FlightModel
        Sums, bases and first days of counting.
    ensemble : Ensemble
        Daily temperatures.
    year : int
        Calendar year in which counting starts.
    southern : bool
        South of the equator: counting starts half a year later, on 1 September instead of 1 March.
    heat_sums : callable, optional
        Returns what the ensemble gathered between a base and an upper temperature before each day, shape
        (members, days + 1), where that is kept already; by default worked out from
        :func:`schedules.agronomy.warmth.degree_days_of`.

    Returns
    -------
    dict of str to ndarray of int, shape (members,)
        For each event the index of the day its sum is reached, the first day of counting included. -1 when it
        is not reached within the window or before the end of the year (30 June in the south), and wherever
        the window does not hold the first day of its counting: a sum begun late would be too small.

    Notes
    -----
    Daily amounts are those of the daily mean, ``max(0, (tmax + tmin) / 2 - base)``, as the sums were
    published; days that lie on a curve through normals carry what days swinging about it would have, so that
    cool months do not give too little. The half-year shift for the south is this project's own reading: the
    published sums are northern. Windows, never certainties: the sums come from other places and soils, and
    covers, slopes and late-emerging stocks shift a flight by weeks.

    References
    ----------
    The table (data/flights.csv) gives the source of every sum.
    """
    sums = heat_sums or cache(lambda base_c, upper_c: running_sums(degree_days_of(ensemble, base_c, upper_c)))
    ends = ensemble.index_of(date(year + 1, 7, 1) if southern else date(year + 1, 1, 1))
    found: dict[str, IntArray] = {}
    for (base_c, upper_c, _), names in _alike(model).items():
        start = ensemble.index_of(first_day(model.events[names[0]], year, southern))
        if not 0 <= start < ensemble.days:
            found |= {name: np.full(ensemble.members, NEVER) for name in names}
            continue
        totals = np.array([model.events[name].sum_cd for name in names])
        laid = end_to_end(sums(base_c, upper_c))
        reached = reached_days(laid, np.full((1, ensemble.members), start), totals)[0]
        reached = np.where(reached < min(ends, ensemble.days), reached, NEVER)
        found |= dict(zip(names, reached, strict=True))
    return {name: found[name] for name in model.events}


def _alike(model: FlightModel) -> dict[tuple[float, float | None, tuple[int, int]], list[str]]:
    """Return the names of the events that are counted alike."""
    alike: dict[tuple[float, float | None, tuple[int, int]], list[str]] = {}
    for name, event in model.events.items():
        alike.setdefault((event.base_c, event.upper_c, event.starts), []).append(name)
    return alike


def first_day(event: FlightEvent, year: int, southern: bool) -> date:
    """Return the day from which an event is counted: half a year later in the south."""
    month, day = event.starts
    if not southern:
        return date(year, month, day)
    later = (month + 5) % 12 + 1
    return date(year + (later <= 6 and month > 6), later, day)


def pause_share(soil_c: FloatArray, begin: IntArray, stop: IntArray) -> float:
    """Return the share of members whose soil is so warm before the second flight that pupae may pause.

    Parameters
    ----------
    soil_c : ndarray, shape (members, days)
        Daily mean soil temperature near the surface. [°C]
    begin, stop : ndarray of int, shape (members,)
        When the first flight is busiest and the second is reckoned to begin; -1 where it never does. [day]

    Returns
    -------
    float
        Share of members, 0 to 1, with at least four such days on end in that span.

    Notes
    -----
    A mean of 24 °C is reached at a daily mean near the surface; deeper pupae see less. Common practice, no
    published source, for the four days on end: they are the shortest age at which pupae are sensitive.
    """
    days = np.arange(soil_c.shape[1])
    inside = (days >= begin[:, None]) & (days < stop[:, None]) & (begin >= 0)[:, None]
    hot = inside & (soil_c >= PAUSE_SOIL_C)
    runs = np.cumsum(np.pad(hot, ((0, 0), (1, 0))), axis=1)
    whole: NDArray[np.bool_] = runs[:, PAUSE_DAYS:] - runs[:, :-PAUSE_DAYS] == PAUSE_DAYS
    return float(whole.any(axis=1).mean())
