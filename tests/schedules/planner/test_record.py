from datetime import date, timedelta

import pytest

from schedules.planner import Outcome, State, Window
from tests.schedules.planner.climates import NOT_NEEDED, done, job, names, planned, put_off, request

SOWN = date(2027, 4, 20)


def answer(**record: Outcome):
    keyed = {f"s1/{name.replace('_', '-')}": outcome for name, outcome in record.items()}
    return planned(request("carrot-maincrop", sow_on=SOWN), record=keyed)


def test_a_done_job_stands_on_its_day():
    day = SOWN + timedelta(days=2)
    sown = job(answer(sow=done(day)), "sow")
    assert (sown.state, sown.done_on, sown.window) == (State.DONE, day, Window(day, day, day))


def test_a_later_sowing_moves_what_follows():
    early, late = answer(sow=done(SOWN)), answer(sow=done(SOWN + timedelta(days=12)))
    assert late.emergence.best > early.emergence.best
    assert job(late, "lift").window.start > job(early, "lift").window.start


def test_a_late_thinning_leaves_a_week_before_the_next():
    late = job(answer(), "thin-2").window.by
    assert job(answer(thin_1=done(late)), "thin-2").window.start >= late + timedelta(days=7)


def test_lifting_brings_storing():
    day = date(2027, 10, 1)
    assert job(answer(lift=done(day)), "store").window == Window(day, day, day)


def test_onions_dry_a_fortnight_between_lifting_and_storing():
    day = date(2027, 8, 20)
    stored = planned(request("onion-sets", sow_on=SOWN), record={"s1/lift": done(day)})
    assert job(stored, "store").window.start == day + timedelta(days=14)


@pytest.mark.parametrize("name", ["sow", "cover", "weed_1", "thin_1", "necks", "lift"])
def test_what_is_not_needed_moves_nothing_else(name):
    plain, skipped = answer(), answer(**{name: NOT_NEEDED})
    own = name.replace("_", "-")
    assert job(skipped, own).state is State.NOT_NEEDED
    for other in set(names(plain)) - {own}:
        assert job(skipped, other).window.start <= job(plain, other).window.start


def test_what_is_put_off_takes_its_followers_along():
    day = job(answer(), "thin-3").window.by + timedelta(days=5)
    moved = answer(thin_1=put_off(day))
    assert job(moved, "thin-1").window.start == day
    assert job(moved, "thin-1").state is State.OPEN
    assert job(moved, "thin-2").window.start >= day + timedelta(days=7)


def test_warming_is_past_use_once_sown():
    early = planned(record={"s1/sow": done(date(2027, 2, 20))})
    assert job(early, "warm").state is State.NOT_NEEDED


def test_tending_is_past_use_once_lifted():
    lifted = answer(lift=done(date(2027, 8, 1)))
    assert {job(lifted, name).state for name in ("cover", "weed-1", "thin-3", "necks")} == {State.NOT_NEEDED}
    assert job(lifted, "store").state is State.OPEN


def test_an_earlier_stage_is_past_use_once_a_later_one_is_done():
    found = answer(thin_2=done(date(2027, 6, 15)))
    assert job(found, "thin-1").state is State.NOT_NEEDED
    assert job(found, "thin-3").state is State.OPEN


def test_a_cover_forgotten_before_thinning_was_due_by_then():
    day = SOWN + timedelta(days=21)
    assert job(answer(sow=done(SOWN), thin_1=done(day)), "cover").window.by <= day


def test_an_outcome_done_needs_its_date():
    with pytest.raises(ValueError, match="needs its date"):
        Outcome(State.DONE)


def test_an_open_outcome_is_no_outcome():
    with pytest.raises(ValueError, match="leave an open job out"):
        Outcome(State.OPEN)
