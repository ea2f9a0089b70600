"""The thermal-time kernel for a whole society, beside numpy's bare running sums and searches."""

import time
from collections.abc import Callable
from datetime import date

import numpy as np

from plots.crops import crops
from schedules.agronomy.climate import ensemble
from schedules.agronomy.kernel import ROUNDING, end_to_end, reached_days, running_sums
from schedules.agronomy.thermal_time import degree_days_average
from schedules.planner.demands import base_c, degree_days_of
from tests.bench.years import weather_until

TODAY = date(2027, 5, 10)
DAYS = 1000
SOWINGS_A_PLOT = 12
SHARES = (0.25, 0.5, 0.75, 0.9, 1.0, 1.2)  # of a crop's days: weedings, thinnings, first to last usable root
ROUNDS = 3


def kernel(*, plots: int) -> None:
    """Time both over the same crops, sowings, members and totals."""
    weather = ensemble(
        observed=weather_until(TODAY), normals=None, today=TODAY, first=date(2027, 1, 1), days=DAYS
    )
    dice = np.random.default_rng(11)
    sowings = plots * SOWINGS_A_PLOT
    kinds = crops()
    crop_of = dice.integers(0, len(kinds), sowings)
    day_of = dice.integers(0, 200, (sowings, 1)) + dice.integers(0, 30, (sowings, weather.members))
    starts = [day_of[crop_of == place] for place in range(len(kinds))]
    totals = [degree_days_of(crop, 80.0) * np.array(SHARES) for crop in kinds]

    def ours() -> None:
        for crop, start, total in zip(kinds, starts, totals, strict=True):
            warmth = degree_days_average(weather.tmin_c, weather.tmax_c, base_c(crop))
            reached_days(end_to_end(running_sums(warmth)), start, total)

    # The floor is given what the kernel must first work out: each day's warmth, and every sum looked for.
    amounts, wanted = [], []
    for crop, start, total in zip(kinds, starts, totals, strict=True):
        amounts.append(degree_days_average(weather.tmin_c, weather.tmax_c, base_c(crop)))
        begun = running_sums(amounts[-1])[np.arange(weather.members), start]
        sums = begun[:, None, :] + total[:, None] - ROUNDING
        wanted.append(np.ascontiguousarray(sums.transpose(2, 0, 1)).reshape(weather.members, -1))

    def floor() -> None:
        for warmth, sought in zip(amounts, wanted, strict=True):
            sums = np.cumsum(warmth, axis=1)
            for member in range(weather.members):
                np.searchsorted(sums[member], sought[member])

    least, took = _best(floor), _best(ours)
    print(
        f"\nkernel: {sowings:,} sowings of {len(kinds)} crops, {len(SHARES)} sums each, over "
        f"{weather.members} years of {DAYS} days\n"
        f"  numpy's bare running sums and searches {least:6.2f} s\n"
        f"  kernel                                 {took:6.2f} s, {took / least:.2f} times as long"
        f" ({took / sowings * 1e6:.1f} µs a sowing; wanted: 3 times at most)"
    )


def _best(work: Callable[[], None]) -> float:
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)
