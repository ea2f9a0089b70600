from datetime import date

import numpy as np
import pytest

from schedules.agronomy.radiation import daylight_hours
from schedules.planner.curves import Curves
from schedules.planner.seasons import seasons_of
from schedules.planner.site_curves import SiteCurves
from schedules.planner.types import Cover, SiteFacts
from tests.schedules.planner.climates import SOUTH, planned, request, yearly_wave

BASE_C = 4.0


def shared(latitude: float = 52.0, **wave) -> SiteCurves:
    return SiteCurves(yearly_wave(date(2027, 1, 1), 1100, **wave), SiteFacts(latitude, 0.0, "UTC"))


def curves(**wave) -> Curves:
    return Curves(shared(**wave), BASE_C, Cover.NONE, 0, 31)


def ends(found: SiteCurves) -> list[tuple[int, int]]:
    return [
        (day.year, day.month)
        for season in seasons_of(found, BASE_C)
        for day in [found.climate.date_at(season.median_end)]
    ]


def test_a_northern_season_ends_in_autumn():
    assert ends(shared())[:2] == [(2027, 10), (2028, 10)]


def test_a_southern_season_ends_half_a_year_away():
    assert ends(shared(-52.0, southern=True))[:2] == [(2027, 4), (2028, 4)]


def test_cold_ends_a_season_before_short_days_do():
    assert ends(shared(mean_c=1.0))[0] < (2027, 10)


def test_a_place_without_cold_or_short_days_has_one_endless_season():
    assert len(seasons_of(shared(3.0, mean_c=25.0, half_range_c=2.0), BASE_C)) == 1


def test_a_cool_place_in_high_latitudes_has_short_days():
    assert len(seasons_of(shared(60.0, mean_c=12.0), BASE_C)) > 1


def test_short_days_end_no_growth_where_winter_is_mild():
    assert not any(season.rests for season in seasons_of(shared(38.0, mean_c=18.0), BASE_C))


def test_days_under_nine_hours_end_growth_in_the_mildest_winter():
    assert all(season.rests for season in seasons_of(shared(50.0, mean_c=18.0), BASE_C))


def test_a_season_opens_with_days_of_ten_hours():
    found = shared(58.0)
    for season in seasons_of(found, BASE_C):
        assert found.daylight_hours[season.opens] >= 10 > found.daylight_hours[season.opens - 1]


def test_every_season_begins_before_it_ends():
    assert all(season.begins < season.ends.min() for season in seasons_of(shared(), BASE_C))


def test_the_last_useful_day_leaves_the_heat_that_was_asked_for():
    found = curves()
    season = seasons_of(found.shared, BASE_C)[0]
    last = season.last_useful(found, 700.0).astype(int)
    closing = (season.ends - 14).astype(int)
    members = np.arange(9)
    heat = found.heat_sum[members, closing] - found.heat_sum[members, last]
    too_late = found.heat_sum[members, closing] - found.heat_sum[members, last + 1]
    assert (heat >= 700).all()
    assert (too_late < 700).all()


def test_a_season_too_short_for_the_crop_has_no_useful_day():
    found = curves(mean_c=2.0)
    season = seasons_of(found.shared, BASE_C)[0]
    assert season.closes(found, 5000.0) == season.begins - 1


def test_day_and_night_are_equal_on_the_equator():
    assert np.allclose(daylight_hours(np.arange(1, 366.0), 0.0), 12.0)


def test_daylight_of_both_hemispheres_makes_a_whole_day():
    days = np.arange(1, 366.0)
    assert np.allclose(daylight_hours(days, 50.0) + daylight_hours(days, -50.0), 24.0)


def test_the_pole_has_days_without_night():
    assert daylight_hours(np.array([172.0, 355.0]), 80.0).tolist() == [24.0, 0.0]


@pytest.mark.parametrize(("latitude", "southern"), [(70.0, False), (66.6, False), (-70.0, True)])
def test_midsummer_is_the_solstice_under_the_midnight_sun_too(latitude, southern):
    found = shared(latitude, mean_c=4.0, southern=southern)
    first = next(each for each in seasons_of(found, BASE_C) if each.midsummer > 0)
    day = found.climate.date_at(first.midsummer)
    assert (day.month, day.day) in {((12 if southern else 6), each) for each in (20, 21, 22)}


def test_an_autumn_that_began_before_the_weather_laid_out_ends_on_its_shortest_day():
    """In July a southern garden has peas to sow in spring, not a last week of autumn."""
    answer = planned(request("pea", not_before=date(2027, 7, 10)), site=SOUTH, today=date(2027, 7, 10))
    assert answer.sow.by > date(2027, 9, 1)
