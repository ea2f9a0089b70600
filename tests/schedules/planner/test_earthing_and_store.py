"""Drawing soil up, and looks at what lies in store."""

from datetime import date, timedelta
from itertools import pairwise

import pytest

from plots.crops import crop
from schedules.planner import sentence
from tests.schedules.planner.climates import done, job, names, planned, request


def stages(answer, kind):
    return [each for each in answer.jobs if each.kind == kind]


def test_potatoes_are_earthed_up_in_rounds_ten_days_apart_at_least():
    rounds = stages(planned(request("potato-maincrop")), "earth_up")
    assert [each.stage for each in rounds] == [1, 2, 3]
    for earlier, later in pairwise(rounds):
        assert later.window.best - earlier.window.best >= timedelta(days=10)
    assert "no tuber turns green" in sentence(rounds[0].reason)
    assert "after planting" in sentence(rounds[0].reason)


@pytest.mark.parametrize(
    ("key", "words"), [("leek", "so that they blanch"), ("brussels-sprouts", "wind does not rock the plants")]
)
def test_soil_is_drawn_up_for_what_is_eaten(key, words):
    rounds = stages(planned(request(key)), "earth_up")
    assert rounds
    assert words in sentence(rounds[0].reason)


def test_warmer_places_earth_up_sooner():
    asked = request("potato-maincrop", sow_on=date(2027, 4, 10))
    cool, warm = (job(planned(asked, mean_c=mean_c), "earth_up-1").window.best for mean_c in (10.0, 13.0))
    assert warm < cool


@pytest.mark.parametrize("key", ["carrot-maincrop", "lettuce", "garlic"])
def test_what_wants_no_soil_is_left_alone(key):
    assert not stages(planned(request(key)), "earth_up")


def test_earthing_up_that_was_done_leaves_the_others():
    answer = planned(request("potato-maincrop"), record={"s1/earth_up-1": done(date(2027, 6, 1))})
    states = [each.state for each in stages(answer, "earth_up")]
    assert states == ["done", "open", "open"]


@pytest.mark.parametrize(
    ("key", "every"), [("carrot-maincrop", 14), ("potato-maincrop", 28), ("onion-sets", 28)]
)
def test_the_store_is_looked_over_as_often_as_its_way_wants(key, every):
    answer = planned(request(key))
    looks, storing = stages(answer, "store_check"), job(answer, "store")
    assert looks[0].window.best == storing.window.best + timedelta(days=every)
    for earlier, later in pairwise(looks):
        assert later.window.best - earlier.window.best == timedelta(days=every)


@pytest.mark.parametrize("key", ["carrot-maincrop", "potato-maincrop", "garlic", "leek", "winter-squash"])
def test_no_look_outlasts_half_of_the_published_weeks(key):
    answer = planned(request(key, sow_on=date(2027, 5, 1)))
    looks = stages(answer, "store_check")
    half = crop(key).number("storage_max_weeks") / 2
    assert 0 < len(looks) <= 5
    assert (looks[-1].window.best - job(answer, "store").window.best).days <= half * 7
    assert "half of the" in sentence(looks[0].notes[0])


def test_only_the_last_look_says_how_it_goes_on():
    looks = stages(planned(request("carrot-maincrop")), "store_check")
    said = ["each month after" in sentence(each.reason) for each in looks]
    assert said == [False] * (len(looks) - 1) + [True]


def test_looks_follow_the_day_on_which_it_was_stored():
    lifted, stored = date(2027, 10, 10), date(2027, 10, 12)
    record = {"s1/sow": done(date(2027, 5, 1)), "s1/lift": done(lifted), "s1/store": done(stored)}
    answer = planned(request("carrot-maincrop"), record=record, today=date(2027, 10, 20))
    assert job(answer, "store_check-1").window.best == stored + timedelta(days=14)


def test_green_tubers_are_cautioned_against_in_store_too():
    assert "green-potatoes" in job(planned(request("potato-maincrop")), "store_check-1").cautions


@pytest.mark.parametrize("key", ["carrot-early", "lettuce", "tomato"])
def test_what_is_not_stored_is_not_looked_over(key):
    assert not [name for name in names(planned(request(key))) if name.startswith("store_check")]
