"""A published climate through the normals curve.

Source: mean monthly air temperature at Nottingham Castle, 1920 to 1939, in °F; the twelve means over the
twenty years, turned into °C. Where it was printed is from memory: Anderson, O.D., Time Series Analysis and
Forecasting, 1976.
"""

from datetime import date

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from schedules.agronomy.climate import Normals, daily_curve, ensemble

NOTTINGHAM_C = np.array(
    [4.275, 3.994, 5.664, 7.939, 11.422, 14.467, 16.611, 15.844, 13.600, 9.719, 5.878, 4.183]
)
NOTTINGHAM_YEAR_C = 9.4664
MONTH_ENDS = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@pytest.mark.parametrize("year", [2027, 2028])
def test_monthly_means_come_back_through_the_ensemble(year):
    unknown = np.full(12, np.nan)
    normals = Normals(NOTTINGHAM_C - 4, NOTTINGHAM_C + 4, unknown, unknown)
    first = date(year, 1, 1)
    days = (date(year + 1, 1, 1) - first).days
    middle = ensemble(observed=None, normals=normals, today=first, first=first, days=days).tmean_c[4]
    months = (np.datetime64(first) + np.arange(days)).astype("datetime64[M]").astype(int) % 12
    means = [middle[months == month].mean() for month in range(12)]
    np.testing.assert_allclose(means, NOTTINGHAM_C, atol=0.01)
    assert np.mean(means) == pytest.approx(NOTTINGHAM_YEAR_C, abs=0.01)


def test_the_curve_is_the_periodic_spline_of_another_library():
    """scipy.interpolate.CubicSpline, periodic, through the running total less the yearly mean."""
    lengths = np.diff(MONTH_ENDS)
    mean = NOTTINGHAM_C @ lengths / 365
    totals = np.append(0, np.cumsum((NOTTINGHAM_C - mean) * lengths))
    totals[-1] = 0.0  # equal to rounding, and the spline asks for exactly equal ends
    spline = CubicSpline(MONTH_ENDS, totals, bc_type="periodic")
    np.testing.assert_allclose(daily_curve(NOTTINGHAM_C), np.diff(spline(np.arange(366))) + mean, atol=1e-9)
