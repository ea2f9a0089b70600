"""Carrot-fly flights against sums worked by hand and the months printed for Great Britain.

Sources: Norwegian Institute of Bioeconomy Research (NIBIO), text of the carrot fly model after Markkula et
al. 1998: daily means, base 5 °C from 1 March; flight starts at 260 °C days, is busiest at 360, over at 560.
Stevenson 1983, Environmental Entomology 12, pp. 1020-1025 (abstract): next flight first caught at 1150.
"""

from datetime import date

import numpy as np
import pytest

from schedules.agronomy.climate import Ensemble, Normals, ensemble
from schedules.agronomy.flights import CARROT_FLY, flight_indices
from tests.outside.test_nottingham import NOTTINGHAM_C

# At a steady 10 °C each day adds 5: 260 / 5 = 52 days, the first of March being the first.
AT_TEN_DEGREES = {
    "start": date(2026, 4, 21),
    "busiest": date(2026, 5, 11),
    "over": date(2026, 6, 20),
    "second": date(2026, 10, 16),
}


@pytest.mark.parametrize(("event", "day"), AT_TEN_DEGREES.items())
def test_steady_warmth_meets_each_sum_on_the_day_worked_by_hand(event, day):
    mean = np.full((1, 365), 10.0)
    window = Ensemble(date(2026, 1, 1), mean - 3, mean + 3, "years", 1, 0.0, None, 0)
    indices = flight_indices(CARROT_FLY, window, 2026, southern=False)
    assert window.date_at(indices[event][0]) == day


def test_midland_normals_put_the_flights_in_their_months():
    """Alford, Agricultural Entomology: first generation of adults in May and June in Great Britain.

    Nottingham lies high in the Midlands of 1920 to 1939, which were cooler than now.
    """
    normals = Normals(NOTTINGHAM_C - 4, NOTTINGHAM_C + 4, np.full(12, np.nan), np.full(12, np.nan))
    window = ensemble(
        observed=None, normals=normals, today=date(2026, 1, 1), first=date(2026, 1, 1), days=365
    )
    flights = flight_indices(CARROT_FLY, window, 2026, southern=False)
    assert window.date_at(flights["start"][4]).month in (5, 6)
    assert window.date_at(flights["busiest"][4]).month in (5, 6)
    # The second from late July or early August on (the same source).
    assert date(2026, 7, 20) <= window.date_at(flights["second"][4]) <= date(2026, 8, 20)
    print({event: str(window.date_at(index[4])) for event, index in flights.items() if index[4] >= 0})
