"""A sheet for a sowing on a set day, reckoned back from the day."""

from datetime import date, timedelta

import pytest

from schedules.planner import Cover, sentence
from tests.schedules.planner.climates import NORTH, TODAY, job, names, planned, request


def warming(day, **more):
    return job(planned(request(sow_on=day), **more), "warm")


def test_the_sheet_goes_on_before_the_day_set():
    day = date(2027, 4, 1)
    asked = warming(day)
    assert asked.reason.rule == "warm_for_the_day"
    lead = timedelta(days=asked.reason.values["lead_days"])
    assert asked.window.best == day - lead
    assert asked.reason.values["enough_pct"] > asked.reason.values["bare_pct"]


def test_an_earlier_day_wants_it_longer_and_is_helped_less_often():
    early, late = (warming(date(2027, *day)).reason.values for day in ((3, 20), (4, 5)))
    assert early["enough_pct"] <= late["enough_pct"]


def test_a_day_that_no_sheet_saves_names_one_that_would_do():
    values = warming(date(2027, 2, 25)).reason.values
    assert not values["is_enough"]
    assert values["fit_on"] > "2027-03-01"


def test_ground_warm_enough_on_the_day_wants_no_sheet():
    assert "warm" not in names(planned(request(sow_on=date(2027, 5, 15))))


def test_nothing_is_laid_in_the_past():
    day = TODAY + timedelta(days=45)
    assert warming(day).window.best >= TODAY


@pytest.mark.parametrize("cover", [Cover.NONE, Cover.CLEAR, Cover.BLACK, Cover.FLEECE, Cover.FILM])
@pytest.mark.parametrize("day", [date(2027, 2, 25), date(2027, 4, 1)])
def test_it_reads_as_plain_sentences(cover, day):
    answer = planned(request(sow_on=day, cover=cover), site=NORTH)
    if "warm" in names(answer):
        text = sentence(job(answer, "warm").reason)
        assert text.startswith("Lay ")
        assert text.count(". ") <= 1
