"""Young plants begun in time, and the look whether the rows are up."""

from datetime import date, timedelta

import numpy as np
import pytest

from plots.crops import crop
from schedules.planner import sentence
from schedules.titles import job_title
from tests.schedules.planner.climates import SOUTH, TODAY, done, job, names, planned, request


def test_raising_begins_its_own_days_before_each_date_of_planting():
    answer = planned(request("kale"))
    raising, planting = job(answer, "raise"), job(answer, "sow")
    days = timedelta(days=35)
    assert raising.window.start == planting.window.start - days
    assert raising.window.best == planting.window.best - days
    assert sentence(raising.reason).startswith("Sow them 13 mm deep under cover about 35 days before")


def test_raising_begun_late_is_begun_at_once_and_planted_later():
    answer = planned(request("leek"), today=date(2027, 3, 20))
    raising = job(answer, "raise")
    assert raising.window.start == raising.window.best == date(2027, 3, 20)
    assert raising.window.by > raising.window.best
    assert "plant them near 29 May 2027" in sentence(raising.reason)


def test_raising_that_is_too_late_for_the_season_is_a_matter_of_bought_plants():
    asked = request("kale", not_before=date(2027, 8, 10), sow_on=date(2027, 8, 15))
    raising = job(planned(asked, today=date(2027, 8, 10)), "raise")
    assert sentence(raising.reason).startswith("Buy or beg young plants, for it is too late to raise them")
    assert raising.window.start == date(2027, 8, 10)
    assert raising.window.by <= date(2027, 8, 15)
    title = job_title("raise", crop("kale"), raising.reason.values, units="metric")
    assert title == "Find young plants of kale"


def test_raising_that_was_begun_is_kept_on_its_day():
    raising = job(planned(request("kale"), record={"s1/raise": done(date(2027, 2, 8))}), "raise")
    assert (raising.state, raising.done_on) == ("done", date(2027, 2, 8))
    assert sentence(raising.reason).startswith("Sow them")


def test_nothing_is_raised_for_what_is_planted_already():
    answer = planned(request("kale"), record={"s1/sow": done(TODAY)})
    assert "raise" not in names(answer)


def test_celery_trays_are_kept_cool():
    notes = [
        sentence(note) for note in job(planned(request("celery", sow_on=date(2027, 5, 25))), "raise").notes
    ]
    assert any("under 20 °C" in note for note in notes)


def test_planting_says_how_young_plants_are_hardened_off():
    notes = [sentence(note) for note in job(planned(request("kale")), "sow").notes]
    assert any(note.startswith("Harden the young plants off for 7 days") for note in notes)


@pytest.mark.parametrize("key", ["carrot-early", "broad-bean", "lettuce"])
def test_the_look_comes_a_little_after_the_rows_should_show(key):
    answer = planned(request(key, sow_on=date(2027, 4, 20)))
    look = job(answer, "showing")
    assert answer.emergence.best < look.window.start
    assert look.window.by - look.window.start == timedelta(days=6)
    assert date.fromisoformat(look.reason.values["latest_on"]) == look.window.start - timedelta(days=1)


def test_the_look_names_the_share_that_the_trial_had_up():
    """Carrot at 5, 10 and 15 °C: 48, 93 and 95 % normal seedlings (Harrington and Minges 1954)."""
    look = job(planned(request("carrot-early", sow_on=date(2027, 4, 20))), "showing")
    soil_c, share = look.reason.values["soil_c"], look.reason.values["seedlings_pct"]
    assert share == round(np.interp(soil_c, [5, 10, 15], [48, 93, 95]))
    assert f"the trials had {share} of 100 seeds up" in sentence(look.reason)


@pytest.mark.parametrize("key", ["swede", "broad-bean"])
def test_no_share_is_named_for_a_borrowed_trial_or_none(key):
    look = job(planned(request(key, sow_on=date(2027, 5, 10))), "showing")
    assert look.reason.values["seedlings_pct"] is None
    assert "the trials" not in sentence(look.reason)


def test_rows_that_failed_early_may_be_sown_again():
    look = job(planned(request("carrot-early", sow_on=date(2027, 4, 20))), "showing")
    assert look.notes[0].values["is_in_time"]
    assert "sow again, until" in sentence(look.notes[0])


def test_rows_that_failed_late_are_given_up_for_something_quicker():
    look = job(planned(request("parsnip", sow_on=date(2027, 6, 20))), "showing")
    assert not look.notes[0].values["is_in_time"]
    assert "something quicker" in sentence(look.notes[0])


@pytest.mark.parametrize("key", ["potato-early", "kale", "rocket"])
def test_nothing_is_looked_for_that_is_planted_or_unknown(key):
    assert "showing" not in names(planned(request(key)))


def test_the_look_is_the_same_work_in_the_south():
    look = job(planned(request("carrot-early"), site=SOUTH), "showing")
    assert look.window.start.month in {10, 11, 12}


def test_raising_late_drags_neither_itself_nor_the_planting_out():
    today = date(2027, 3, 20)
    answer = planned(request("kale"), today=today)
    answer_late = planned(request("leek"), today=today)
    raising, planting = job(answer_late, "raise").window, job(answer_late, "sow").window
    assert raising.by <= today + timedelta(days=7)
    ready = today + timedelta(days=crop("leek").number("raising_days"))
    assert planting.by <= ready + timedelta(days=7)
    assert (job(answer, "sow").window.by - job(answer, "sow").window.start).days < 60


def test_an_open_raising_is_never_due_in_the_past():
    for day in range(1, 29):
        today = date(2027, 2, day)
        for key in ("kale", "leek", "cabbage-summer"):
            answer = planned(request(key), today=today)
            for each in answer.jobs:
                assert each.kind != "raise" or each.window.by >= today, (key, today)


def test_plants_that_were_begun_late_hold_the_planting_back():
    begun = date(2027, 4, 20)
    answer = planned(request("kale"), record={"s1/raise": done(begun)}, today=date(2027, 4, 21))
    planting = job(answer, "sow")
    assert planting.window.start >= begun + timedelta(days=35)
    assert "young_plants_decide" in {each.rule for each in planting.notes}
    assert answer.sow.start == planting.window.start


def test_plants_begun_in_good_time_hold_nothing_back():
    record = {"s1/raise": done(date(2027, 1, 4))}
    held, free = (planned(request("kale"), record=each, today=TODAY) for each in (record, {}))
    assert held.sow == free.sow


def test_plants_begun_too_late_for_the_season_go_in_on_its_last_day():
    free = planned(request("kale"), today=date(2027, 7, 20)).sow
    record = {"s1/raise": done(date(2027, 7, 20))}
    assert planned(request("kale"), record=record, today=date(2027, 7, 20)).sow.by <= free.by


def test_a_day_set_before_the_plants_are_ready_is_warned_of():
    asked = request("kale", sow_on=date(2027, 5, 1))
    answer = planned(asked, record={"s1/raise": done(date(2027, 4, 20))}, today=date(2027, 4, 21))
    warning = next(each for each in answer.warnings if each.rule == "plants_not_ready")
    assert "25 May 2027" in sentence(warning)
