"""How far days and nights swing about their month, measured in open station records.

A standard deviation within the months of the record: each month of each year about its own mean, the slope of
the curve taken out. Brussels, Wageningen and Seattle are stations; the English counties of the same packages
look gridded and swing less (2.1 to 2.4 °C), so they do not speak here. The closed form for degree days is
checked with scipy.stats.norm.
"""

import numpy as np
import pytest
from scipy.stats import norm

from schedules.agronomy.climate import daily_curve, normals_of
from schedules.agronomy.frost_odds import FRESH_SHARE, NIGHT_SD_C
from schedules.agronomy.thermal_time import DAY_TO_DAY_SD_C, degree_days_of_curve
from tests.outside import records

STATIONS = {
    "Brussels": lambda: records.county(records.BRUSSELS),
    "Wageningen": records.wageningen,
    "Seattle": records.seattle,
}


def swings(values, curve, dates):
    """Departures of each day from its own month's mean departure, by month of each year."""
    day_of_year = (dates - dates.astype("datetime64[Y]")).astype(int)
    left = values - curve[np.minimum(day_of_year, 364)]
    months = dates.astype("datetime64[M]").astype(int)
    for month in np.unique(months):
        part = left[months == month]
        part = part[~np.isnan(part)]
        if part.size > 20:
            yield part - part.mean()


def spread(parts):
    return float(np.sqrt(np.mean([part.var(ddof=1) for part in parts])))


def test_days_swing_about_their_month_as_far_as_is_reckoned():
    found = {}
    for name, read in STATIONS.items():
        weather = read()
        usual = normals_of(weather)
        curve = daily_curve((usual.tmin_c + usual.tmax_c) / 2)
        found[name] = spread(swings((weather.tmin_c + weather.tmax_c) / 2, curve, weather.dates))
    print({name: round(each, 2) for name, each in found.items()})
    assert np.mean(list(found.values())) == pytest.approx(DAY_TO_DAY_SD_C, abs=0.2)
    assert all(abs(each - DAY_TO_DAY_SD_C) < 0.7 for each in found.values())


def test_nights_swing_about_their_month_as_far_as_is_reckoned():
    spreads, runs = {}, {}
    for name, read in STATIONS.items():
        weather = read()
        parts = list(swings(weather.tmin_c, daily_curve(normals_of(weather).tmin_c), weather.dates))
        spreads[name] = spread(parts)
        runs[name] = float(np.mean([(part[1:] * part[:-1]).mean() / part.var() for part in parts]))
    print({name: (round(spreads[name], 2), round(runs[name], 2)) for name in spreads})
    assert np.mean(list(spreads.values())) == pytest.approx(NIGHT_SD_C, abs=0.2)
    # Nights that are alike by 0.5 to 0.7 leave about half of them as draws of their own.
    assert all(0.5 < each < 0.7 for each in runs.values())
    assert 1 - max(runs.values()) < FRESH_SHARE <= 1 - min(runs.values()) + 0.1


def test_degree_days_of_a_curve_are_the_expected_excess_of_a_normal_distribution():
    mean_c = np.linspace(-20, 35, 1101)
    z = (mean_c - 5.0) / 3.0
    expected = (mean_c - 5.0) * norm.cdf(z) + 3.0 * norm.pdf(z)
    np.testing.assert_allclose(degree_days_of_curve(mean_c, 5.0), expected, atol=1e-6)


@pytest.mark.parametrize("place", ["Brussels", "Wageningen"])
def test_a_curve_gives_the_warmth_that_its_days_had(place):
    """March to May of the record, base 5 °C: the curve as it stands has far less than the days had."""
    weather = STATIONS[place]()
    usual = normals_of(weather)
    curve = daily_curve((usual.tmin_c + usual.tmax_c) / 2)[59:151]
    mean_c = (weather.tmin_c + weather.tmax_c) / 2
    month = weather.dates.astype("datetime64[M]").astype(int) % 12
    spring = mean_c[(month >= 2) & (month <= 4)]
    had = np.nanmean(np.maximum(spring - 5.0, 0)) * 92
    plain, swung = np.maximum(curve - 5.0, 0).sum(), degree_days_of_curve(curve, 5.0).sum()
    print(f"{place}: days had {had:.0f}, curve {plain:.0f}, curve with its swing {swung:.0f} °C days")
    assert abs(swung - had) < abs(plain - had) / 2
    assert swung == pytest.approx(had, rel=0.06)
