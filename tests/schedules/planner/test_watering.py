"""Water is asked for when it pays, and the ground's state is told in every case."""

import itertools
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedules.agronomy.climate import Ensemble
from schedules.planner import Outcome, State, plan, sentence, span
from schedules.planner.cautions import caution_source, caution_text
from tests.schedules.planner.climates import NORTH as MILD
from tests.schedules.planner.climates import SOUTH as MILD_SOUTH
from tests.schedules.planner.climates import done, put_off, request, yearly_wave

# Nothing flies here, so that only water is spoken of.
NORTH, SOUTH = (replace(each, insects=frozenset()) for each in (MILD, MILD_SOUTH))
SOWN = date(2027, 4, 20)
JUNE = date(2027, 6, 28)
UNITS = ("metric", "imperial")


def weather(asked, record, today, rain_mm, *, site=NORTH) -> Ensemble:
    """The invented wave with so much rain a day, or a rain of each day from ``rain_mm(day)``."""
    first, days = span(asked, site, record, today)
    wave = yearly_wave(first, days, southern=site.southern)
    rain = np.array(
        [rain_mm(first + timedelta(days=each)) if callable(rain_mm) else rain_mm for each in range(days)]
    )
    return replace(wave, rain_mm=np.broadcast_to(rain, wave.tmin_c.shape).copy())


def answered(
    crop="carrot-maincrop", *, rain_mm=0.0, today=JUNE, sown=SOWN, site=NORTH, record=None, **changes
):
    asked = request(crop, not_before=sown, **changes)
    record = {"s1/sow": done(sown), **(record or {})}
    return plan(asked, site, weather(asked, record, today, rain_mm, site=site), record, today)


def asked_of(answer):
    """The watering that is still open, or None."""
    return next((each for each in answer.jobs if each.kind == "water" and each.state == "open"), None)


def told(answer):
    """The one reason that says how the ground stands."""
    (reason,) = [each for each in answer.outlook if each.rule.startswith("water_")]
    return reason


def until(day, rain_mm):
    return lambda each: rain_mm if each < day else 0.0


def test_dry_ground_is_to_be_watered_today():
    answer = answered()
    found = asked_of(answer)
    assert found.window.start == found.window.best == JUNE
    assert found.reason.rule == "water_the_roots"
    assert told(answer).rule == "water_needed"
    assert told(answer).values["left_mm"] == 0


def test_ground_that_is_rained_on_wants_none():
    """Five millimetres a day are about what this June takes, so that an evening lacks one day's use of some
    thirty that roots reach easily."""
    answer = answered(rain_mm=5.0)
    assert asked_of(answer) is None
    assert told(answer).rule == "water_no_need"
    assert told(answer).values["left_pct"] > 75


def test_a_need_that_lies_ahead_is_dated_ahead():
    answer = answered(rain_mm=until(JUNE, 6.0))
    found = asked_of(answer)
    assert JUNE + timedelta(days=2) < found.window.best <= JUNE + timedelta(days=14)
    assert told(answer).values["left_mm"] > 15


def test_the_amount_is_the_row_times_what_the_ground_lacks():
    """Millimetres on a square metre are litres; a can holds ten."""
    values = asked_of(answered(area_m2=4.0)).reason.values
    assert values["litres_per_metre"] == round(values["refill_mm"] * values["row_spacing_mm"] / 1000)
    assert values["cans"] == round(values["refill_mm"] * 4.0 / 10)
    assert asked_of(answered()).reason.values["cans"] is None


def test_no_more_than_a_soaking_is_asked_for_at_once():
    """Thirty litres a square metre; common practice, no published source."""
    assert asked_of(answered(rain_mm=0.0)).reason.values["refill_mm"] == 30


def test_widely_set_plants_are_watered_one_by_one():
    found = asked_of(answered("potato-maincrop"))
    assert "each plant" in sentence(found.reason)
    assert "of row" in sentence(asked_of(answered()).reason)


@pytest.mark.parametrize("rain_mm", [0.0, 5.0, np.nan])
def test_before_sowing_nothing_is_asked(rain_mm):
    asked = request("carrot-maincrop", not_before=SOWN, sow_on=SOWN)
    today = SOWN - timedelta(days=3)
    answer = plan(asked, NORTH, weather(asked, {}, today, rain_mm), {}, today)
    assert asked_of(answer) is None
    assert told(answer).rule == "water_before_sowing"


@pytest.mark.parametrize("container_height_cm", [None, 30.0])
def test_unknown_rain_is_not_no_rain(container_height_cm):
    answer = answered(rain_mm=np.nan, container_height_cm=container_height_cm)
    assert asked_of(answer) is None
    assert told(answer).rule == "water_not_known"
    assert ("container" in sentence(told(answer))) == (container_height_cm is not None)


def test_a_parched_drill_is_watered_gently_and_the_roots_are_not_yet_spoken_of():
    found = asked_of(answered(today=SOWN + timedelta(days=6)))
    assert found.reason.rule == "water_the_seedbed"
    assert found.reason.values["litres_per_metre"] <= 3
    assert "gently" in sentence(found.reason)


def test_a_moist_drill_is_let_be():
    answer = answered(today=SOWN + timedelta(days=3), rain_mm=4.0)
    assert asked_of(answer) is None
    assert "seed-bed" in sentence(told(answer))


def test_a_watering_counts_as_a_soaking_and_the_next_is_another_job():
    rain_mm = until(JUNE - timedelta(days=7), 6.0)
    first = asked_of(answered(rain_mm=rain_mm))
    assert first.window.best <= JUNE + timedelta(days=1)
    later = answered(rain_mm=rain_mm, record={first.key: done(JUNE)})
    second = asked_of(later)
    assert second.key != first.key
    assert JUNE + timedelta(days=4) <= second.window.best
    kept = next(each for each in later.jobs if each.key == first.key)
    assert (kept.state, kept.done_on) == (State.DONE, JUNE)
    assert sentence(kept.reason)


def test_ground_just_watered_is_left_to_drink_however_dry_it_was():
    """A dry month wants more than one soaking; the second is not asked for on the day of the first."""
    first = asked_of(answered("winter-squash"))
    second = asked_of(answered("winter-squash", record={first.key: done(JUNE)}))
    assert second is None or second.window.start >= JUNE + timedelta(days=3)


def test_a_watering_put_off_keeps_its_key_and_waits():
    first = asked_of(answered())
    later = JUNE + timedelta(days=3)
    found = asked_of(answered(record={first.key: put_off(later)}))
    assert found.key == first.key
    assert found.window.start == later


def test_a_watering_that_was_not_needed_is_not_asked_for_again_at_once():
    first = asked_of(answered())
    assert asked_of(answered(record={first.key: Outcome(State.NOT_NEEDED)})) is None


def test_what_is_lifted_wants_no_water():
    answer = answered(record={"s1/lift": done(JUNE - timedelta(days=1))})
    assert asked_of(answer) is None
    assert [each for each in answer.outlook if each.rule.startswith("water")] == []


def test_ripening_bulbs_are_left_dry():
    """Common practice, no published source: no water once the tops begin to go over."""
    sown = date(2027, 3, 20)
    growing = answered("onion-sets", sown=sown, today=date(2027, 6, 10))
    assert asked_of(growing).reason.rule == "water_the_roots"
    ripening = answered("onion-sets", sown=sown, today=date(2027, 9, 20))
    assert asked_of(ripening) is None
    assert told(ripening).rule == "water_no_more"


def test_potatoes_hear_when_water_does_most():
    """Doorenbos and Kassam, FAO Irrigation and Drainage Paper 33, 1979 (from memory): as tubers set."""
    rules = {each.rule for each in asked_of(answered("potato-maincrop", today=date(2027, 7, 15))).notes}
    assert "water_does_most_now" in rules


def test_sand_wants_water_sooner_than_loam():
    first = {}
    for soil in ("sand", "loam"):
        site = replace(NORTH, soil=soil)
        first[soil] = asked_of(answered(site=site, rain_mm=until(JUNE, 6.0))).window.best
    assert first["sand"] < first["loam"]


def test_a_container_holds_less_and_says_to_feel_it():
    ground, pot = (
        asked_of(answered(rain_mm=until(JUNE, 6.0), container_height_cm=each)) for each in (None, 25.0)
    )
    assert pot.window.best < ground.window.best
    assert "containers_dry_faster" in {each.rule for each in pot.notes}


def test_every_watering_carries_the_caution_about_butts():
    assert "water-butts" in asked_of(answered()).cautions
    assert "legionella" in caution_text("water-butts")
    assert caution_source("water-butts")


def test_rain_that_was_not_read_is_owned_up_to():
    asked = request("carrot-maincrop", not_before=SOWN)
    record = {"s1/sow": done(SOWN)}
    climate = weather(asked, record, JUNE, 5.0)
    gap = (date(2027, 6, 1) - climate.first).days
    climate.rain_mm[:, gap] = np.arange(climate.members)
    reason = told(plan(asked, NORTH, climate, record, JUNE))
    assert reason.values["unread_days"] == 1
    assert "on 1 day no rain was read" in sentence(reason)


@settings(max_examples=25, deadline=None)
@given(
    rain=st.lists(st.floats(0, 15), min_size=20, max_size=20),
    more=st.lists(st.floats(0, 15), min_size=20, max_size=20),
    soil=st.sampled_from(["sand", "loam", "silt", "clay"]),
)
def test_more_rain_never_asks_for_water_sooner_nor_leaves_less(rain, more, soil):
    site = replace(NORTH, soil=soil)

    def state(*amounts):
        cycle = [sum(each) for each in zip(*amounts, strict=True)]
        answer = answered(site=site, rain_mm=lambda day: cycle[day.toordinal() % len(cycle)])
        found = asked_of(answer)
        wanted = JUNE + timedelta(days=99) if found is None else found.window.best
        return wanted, told(answer).values["left_mm"]

    drier, wetter = state(rain), state(rain, more)
    assert drier[0] <= wetter[0]
    assert drier[1] <= wetter[1]


def test_the_south_is_told_the_same_half_a_year_later():
    """One wave, mirrored: the day lengths and the sun's distance differ a little, the rules do not."""
    shift = timedelta(days=183)
    for rain_mm, rule in ((0.0, "water_needed"), (6.0, "water_no_need")):
        south = answered(
            rain_mm=rain_mm, today=JUNE + shift, sown=SOWN + shift, site=replace(SOUTH, latitude=-52.0)
        )
        assert told(south).rule == rule
        north = answered(rain_mm=rain_mm)
        assert (asked_of(north) is None) == (asked_of(south) is None)


def test_every_sentence_about_water_reads_in_both_units():
    days = [SOWN + timedelta(days=each) for each in (2, 8, 40, 69, 200)]
    for rain_mm, today, height in itertools.product((0.0, 2.5, 6.0, np.nan), days, (None, 30.0)):
        answer = answered(rain_mm=rain_mm, today=today, container_height_cm=height, area_m2=2.0)
        found = asked_of(answer)
        for reason in [told(answer), *([found.reason, *found.notes] if found else [])]:
            for units in UNITS:
                text = sentence(reason, units)
                assert text[0].isupper()
                assert text.endswith(".")
                assert "  " not in text
                assert text.count(". ") <= 1
                assert not {"None", "nan", "True", "False", "1 days", "1 litres"} & set(text.split())
                assert ("litre" in text or " mm" in text or " cm" in text) <= (units == "metric")


def test_the_same_question_has_the_same_answer():
    assert answered() == answered()


def test_a_year_of_one_plan_never_asks_in_winter():
    """Garlic stands from October; until the spring the sun takes less than falls."""
    site = replace(NORTH, soil="sand")
    for today in (date(2027, 12, 1), date(2028, 2, 1)):
        answer = answered("garlic", sown=date(2027, 10, 20), today=today, site=site, rain_mm=1.0)
        assert asked_of(answer) is None
