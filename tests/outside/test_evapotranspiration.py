"""Evapotranspiration from temperature against worked examples, a library, and published records.

Examples: Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, examples 14 and 20.
Sums: pyet 1.5.0, hargreaves(method=0), at 47.4444 degrees on the Seattle record, run apart because it wants
pandas below 3; its latent heat follows temperature, 2.501 - 0.002361 T (the same paper, equation 3-1 of
annex 3), where equation 52 takes the fixed 0.408.
"""

import numpy as np
import pytest

from schedules.agronomy.climate import DailyWeather
from schedules.agronomy.evapotranspiration import hargreaves_mm, wind_at_two_metres
from schedules.agronomy.radiation import MM_PER_MJ
from tests.outside import records

SEATTLE_DEG = 47.4444
PYET_SEATTLE_MM = {2012: 794.239, 2013: 828.145, 2014: 862.373, 2015: 895.332}
PYET_FIRST_DAYS_MM = [0.64079, 0.59021, 0.50309]
OWN_ET0 = {"brussels": 50.8, "cambridge": 52.2, "norfolk": 52.6, "northumberland": 55.2}


def day_of_year(weather: DailyWeather):
    return (weather.dates - weather.dates.astype("datetime64[Y]")).astype(float) + 1


def with_latent_heat_by_temperature(weather: DailyWeather):
    own = hargreaves_mm(weather.tmin_c, weather.tmax_c, day_of_year(weather), SEATTLE_DEG)
    return own / MM_PER_MJ / (2.501 - 0.002361 * (weather.tmin_c + weather.tmax_c) / 2)


def test_example_20_gives_its_evapotranspiration():
    assert round(float(hargreaves_mm(14.8, 26.6, 196, 45.72)), 1) == 5.0


def test_example_14_brings_wind_down_to_two_metres():
    assert round(float(wind_at_two_metres(3.2, 10.0)), 1) == 2.4


def test_a_library_finds_the_same_sums_in_seattle():
    weather = records.seattle()
    found = with_latent_heat_by_temperature(weather)
    assert found[:3] == pytest.approx(PYET_FIRST_DAYS_MM, abs=1e-3)
    years = weather.dates.astype("datetime64[Y]").astype(int) + 1970
    for year, total_mm in PYET_SEATTLE_MM.items():
        assert float(found[years == year].sum()) == pytest.approx(total_mm, rel=1e-3)


def test_the_papers_fixed_latent_heat_moves_the_sums_by_less_than_one_in_a_hundred():
    weather = records.seattle()
    own = hargreaves_mm(weather.tmin_c, weather.tmax_c, day_of_year(weather), SEATTLE_DEG)
    assert float(own.sum()) == pytest.approx(sum(PYET_SEATTLE_MM.values()), rel=0.01)


@pytest.mark.parametrize("place", OWN_ET0)
def test_growing_seasons_come_near_the_evapotranspiration_that_the_records_carry(place):
    """April to September within a fifth of the records' own column, whose method they do not name.

    Measured: Brussels 16 % above it, Cambridge 5 % and Norfolk 7 % below, Northumberland 15 % below: the
    paper warns that the equation reads high in damp air and low in wind.
    """
    lines = (records.folder("aquacrop") / "data" / f"{place}_climate.txt").read_text().splitlines()
    theirs = np.array([float(line.split()[6]) for line in lines[1:] if line.strip()])
    weather = records.county(place)
    ours = hargreaves_mm(weather.tmin_c, weather.tmax_c, day_of_year(weather), OWN_ET0[place])
    month = weather.dates.astype("datetime64[M]").astype(int) % 12 + 1
    summer = (month >= 4) & (month <= 9)
    ratio = float(ours[summer].sum() / theirs[summer].sum())
    print(f"{place}: {ratio - 1:+.1%} of the record's own ET0, April to September")
    assert 0.8 <= ratio <= 1.2


def test_no_warmth_no_range_and_no_sun_give_off_nothing():
    """By equation 52 itself: a factor of nought."""
    assert hargreaves_mm(-30.0, -20.0, 355, 52.0) == 0.0
    assert hargreaves_mm(10.0, 10.0, 172, 52.0) == 0.0
    assert hargreaves_mm(-5.0, 5.0, 355, 75.0) == 0.0


def test_an_unknown_temperature_stays_unknown():
    assert np.isnan(hargreaves_mm(np.nan, 20.0, 172, 52.0))


def test_a_height_below_the_profile_is_refused():
    with pytest.raises(ValueError, match="height_m"):
        wind_at_two_metres(3.0, 0.05)
