from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from schedules.planner import plan, sentence, span
from tests.schedules.planner.climates import (
    NORTH,
    TODAY,
    done,
    job,
    planned,
    request,
    rules,
    yearly_wave,
)

SOWN = date(2027, 4, 20)
TROPICS = replace(NORTH, latitude=5.0)


def lifting(asked, **wave):
    return job(planned(asked, **wave), "lift")


def test_past_the_optimum_more_warmth_ripens_nothing_sooner():
    warm, hot = (
        lifting(request(sow_on=SOWN), site=TROPICS, mean_c=each, half_range_c=1.0).window.start
        for each in (26.0, 32.0)
    )
    assert warm == hot


def test_the_hottest_place_takes_the_days_of_the_optimum():
    """Carrots of 60 days at 16.5 °C, base 4 and optimum 22 °C: 60 x 12.5 / 18 days at the least."""
    answer = planned(request(sow_on=SOWN), site=TROPICS, mean_c=32.0, half_range_c=0.5)
    assert (job(answer, "lift").window.start - SOWN).days >= 41


def test_liftings_of_the_site_stretch_the_heat_sum_and_the_sentence_says_so():
    printed = lifting(request("carrot-maincrop", sow_on=SOWN))
    stretched = lifting(request("carrot-maincrop", sow_on=SOWN, growth_factor=1.15, growth_liftings=3))
    assert stretched.window.best > printed.window.best
    assert stretched.reason.values["sum_min_cd"] == round(printed.reason.values["sum_min_cd"] * 1.15)
    assert "15 % more by 3 liftings here" in sentence(stretched.reason)
    assert "here" not in sentence(printed.reason)


def test_one_lifting_is_said_in_the_singular():
    found = lifting(request("carrot-maincrop", sow_on=SOWN, growth_factor=0.9, growth_liftings=1))
    assert "10 % less by 1 lifting here" in sentence(found.reason)


def test_a_season_too_short_for_most_sorts_is_left_to_the_quickest_with_a_warning():
    answer = planned(request("parsnip"), mean_c=9.0)
    assert answer.sow is not None
    assert "season_is_short" in rules(answer.warnings)
    assert "season_is_short" not in rules(planned(request("parsnip"), mean_c=11.0).warnings)


def rained(asked, mm_on_day, record=None, today=TODAY):
    first, days = span(asked, NORTH, {}, today)
    weather = yearly_wave(first, days)
    rain = np.array([mm_on_day(first + timedelta(days=each)) for each in range(days)], dtype=float)
    weather = replace(weather, rain_mm=np.broadcast_to(rain, weather.tmin_c.shape))
    return plan(asked, NORTH, weather, record or {}, today)


def test_a_parched_bed_holds_the_seed_and_a_watered_drill_keeps_it_going_for_a_week():
    slow = request("parsnip", sow_on=date(2027, 5, 10))
    damp, dry = rained(slow, lambda _: 4.0), rained(slow, lambda _: 0.0)
    wait = (dry.emergence.best - damp.emergence.best).days
    assert 0 < wait <= 14
    quick = request("radish", sow_on=date(2027, 6, 20))
    assert rained(quick, lambda _: 0.0).emergence == rained(quick, lambda _: 4.0).emergence


def test_rain_unknown_holds_no_seed():
    asked = request("parsnip", sow_on=date(2027, 5, 10))
    assert planned(asked).emergence == rained(asked, lambda _: 4.0).emergence


def test_rows_seen_to_show_are_what_tending_counts_from():
    asked, seen = request("carrot-early", sow_on=SOWN), date(2027, 5, 20)
    record = {"s1/sow": done(SOWN), "s1/showing": done(seen)}
    answer = planned(asked, record=record, today=date(2027, 5, 22))
    assert answer.emergence.start == answer.emergence.by == seen


def test_certain_stages_still_have_some_days():
    record = {"s1/sow": done(SOWN), "s1/showing": done(date(2027, 5, 10))}
    answer = planned(request("carrot-maincrop"), record=record, today=date(2027, 9, 1))
    for each in answer.jobs:
        if each.kind in {"weed", "thin", "lift"}:
            assert (each.window.by - each.window.best).days >= 4
