"""One plan at a time: every crop, with its weather laid out and with it ready."""

import statistics
import time
from collections.abc import Callable
from datetime import date

import numpy as np

from plots.crops import crops
from schedules.agronomy.climate import Normals, ensemble
from schedules.planner import SiteFacts, SowingRequest, plan, span

TODAY = date(2027, 2, 1)
PLACE = SiteFacts(latitude=52.2, longitude=0.1, zone="Europe/London")
# Invented, of a cool maritime place: only the amount of work matters here.
NORMALS = Normals(
    tmin_c=np.array([1.5, 1.3, 2.6, 4.2, 7.1, 10.0, 12.2, 12.1, 9.9, 7.2, 4.0, 1.9]),
    tmax_c=np.array([7.4, 8.0, 10.8, 14.0, 17.2, 20.2, 22.7, 22.4, 19.2, 14.9, 10.4, 7.7]),
    rain_mm=np.full(12, 50.0),
    wind_ms=np.full(12, 4.0),
)


def milliseconds(work: Callable[[], object], *, rounds: int = 25) -> float:
    """Median of several runs after one to warm up."""
    work()
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        times.append((time.perf_counter() - began) * 1000)
    return statistics.median(times)


def single_plans() -> None:
    """One sowing planned, with its weather laid out and with it ready, beside a floor of the same size.

    The floor is numpy's bare running sum and search, once, over as many days and members.
    """
    print(f"{'crop':<20} {'with weather':>13} {'plan':>9} {'floor':>9} {'ratio':>7}")
    for crop in crops():
        request = SowingRequest(key=crop.key, crop=crop, sow_on=None, not_before=TODAY)
        first, days = span(request, PLACE, {}, TODAY)
        weather = ensemble(observed=None, normals=NORMALS, today=TODAY, first=first, days=days)
        air = weather.tmean_c

        def planned(request: SowingRequest = request, weather: object = weather) -> object:
            return plan(request, PLACE, weather, {}, TODAY)  # type: ignore[arg-type]

        def from_scratch(request: SowingRequest = request, first: date = first, days: int = days) -> object:
            laid = ensemble(observed=None, normals=NORMALS, today=TODAY, first=first, days=days)
            return plan(request, PLACE, laid, {}, TODAY)

        def floor(air: np.ndarray = air) -> object:
            sums = np.cumsum(np.maximum(air - 4.0, 0.0), axis=1)
            return [np.searchsorted(row, 500.0) for row in sums]

        whole, took, least = milliseconds(from_scratch), milliseconds(planned), milliseconds(floor)
        print(f"{crop.key:<20} {whole:10.2f} ms {took:6.2f} ms {least:6.3f} ms {took / least:6.1f}x")
