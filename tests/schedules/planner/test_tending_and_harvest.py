from datetime import date, timedelta
from itertools import pairwise

from schedules.planner import Cover
from tests.schedules.planner.climates import NORTH, done, job, names, planned, request, rules


def test_each_thinning_has_its_spacing():
    answer = planned()
    spacings = [job(answer, f"thin-{stage}").reason.values["spacing_mm"] for stage in (1, 2, 3)]
    assert spacings == [10, 25, 50]


def test_thinnings_lie_a_week_apart_or_more():
    thinnings = [each.window.start for each in planned(mean_c=20.0).jobs if each.kind == "thin"]
    assert all(later - earlier >= timedelta(days=7) for earlier, later in pairwise(thinnings))


def test_the_hour_of_thinning_is_marked_as_conflicting():
    note = job(planned(), "thin-1").notes[0]
    assert note.values["evidence"] == "conflicting"


def test_sets_and_tubers_are_not_thinned():
    assert not [name for name in names(planned(request("onion-sets"))) if name.startswith("thin")]


def test_sets_do_not_emerge():
    assert planned(request("onion-sets")).emergence is None


def test_roots_are_lifted_when_they_have_had_their_warmth():
    assert job(planned(), "lift").reason.rule == "lift_when_grown"


def test_warmer_summers_lift_earlier():
    warm, cool = (
        planned(request(sow_on=date(2027, 5, 1)), mean_c=12.0),
        planned(request(sow_on=date(2027, 5, 1))),
    )
    assert job(warm, "lift").window.best < job(cool, "lift").window.best


def test_what_growth_leaves_unfinished_is_lifted_when_it_stops():
    answer = planned(request("carrot-maincrop", sow_on=date(2027, 8, 15)), today=date(2027, 8, 1))
    lifting = job(answer, "lift")
    assert lifting.reason.rule == "lift_when_growth_stops"
    assert lifting.window.best == date.fromisoformat(lifting.reason.values["growth_stops_on"])


def test_maincrops_are_stored_and_earlies_eaten():
    assert "store" in names(planned(request("carrot-maincrop")))
    assert "store" not in names(planned(request("carrot-early")))


def test_big_roots_want_a_fork():
    assert "fork_under_big_roots" in rules(job(planned(request("parsnip")), "lift").notes)


def test_parsnips_are_left_for_the_first_frosts():
    lifting = job(planned(request("parsnip")), "lift")
    assert lifting.window.start.month in {10, 11}
    note = next(each for each in lifting.notes if each.rule == "leave_for_the_frost")
    assert note.values["usable_on"] < note.values["frost_on"] == lifting.window.start.isoformat()


def test_a_hard_winter_lifts_all():
    notes = job(planned(request("kale"), mean_c=7.0, half_range_c=14.0), "lift").notes
    assert "lift_before_hard_winter" in rules(notes)


def test_a_mild_winter_leaves_leaves_standing():
    assert "leave_in_mild_winter" in rules(job(planned(request("kale"), mean_c=12.0), "lift").notes)


def test_a_place_without_winter_hears_nothing_of_frost():
    tropics = type(NORTH)(3.0, 30.0, "UTC")
    answer = planned(request("parsnip"), site=tropics, mean_c=22.0, half_range_c=1.0)
    assert not rules(job(answer, "lift").notes) & {"leave_for_the_frost", "leave_in_mild_winter"}


def test_the_next_row_follows_this_one():
    answer = planned(request("radish", sow_on=date(2027, 5, 1)))
    assert job(answer, "resow").window.start == date(2027, 5, 1) + timedelta(days=10)


def test_no_row_follows_when_the_season_closes():
    answer = planned(request("radish", sow_on=date(2027, 9, 20)), today=date(2027, 9, 1))
    assert "resow" not in names(answer)


def test_the_next_row_is_never_after_the_last_useful_sowing():
    answer = planned(request("radish", sow_on=date(2027, 8, 14)), today=date(2027, 8, 1))
    found = job(answer, "resow")
    assert found.window.by.isoformat() <= found.reason.values["last_useful_on"]


def test_no_row_follows_once_the_last_useful_day_is_past():
    sown = date(2027, 8, 1)
    asked = request("radish", sow_on=sown)
    record = {f"{asked.key}/sow": done(sown)}
    before, after = (
        planned(asked, record=record, today=today) for today in (date(2027, 8, 5), date(2027, 11, 1))
    )
    assert "resow" in names(before)
    assert "resow" not in names(after)


def test_cold_ground_is_warmed_three_weeks_before():
    answer = planned()
    assert job(answer, "sow").window.best - job(answer, "warm").window.best == timedelta(days=21)


def test_warm_ground_needs_no_sheet():
    assert "warm" not in names(planned(request(sow_on=date(2027, 6, 15))))


def test_mesh_asks_for_no_warming():
    assert "warm" not in names(planned(request(cover=Cover.MESH)))


def test_warming_tells_how_much_sooner():
    assert job(planned(), "warm").reason.values["earlier_days"] > 0


def test_hot_ground_has_its_drill_watered():
    answer = planned(request(sow_on=date(2027, 7, 25)), mean_c=17.0)
    assert "water_the_drill" in rules(job(answer, "sow").notes)


def test_cool_ground_has_a_dry_drill():
    assert "water_the_drill" not in rules(job(planned(), "sow").notes)


def test_fine_seed_is_mixed_with_sand_and_coarse_seed_is_not():
    assert "fine_seed_in_sand" in rules(job(planned(), "sow").notes)
    assert "fine_seed_in_sand" not in rules(job(planned(request("beetroot-early")), "sow").notes)


def test_parsnip_sap_is_cautioned_where_hands_meet_leaves():
    answer = planned(request("parsnip"))
    assert "sap" in job(answer, "thin-1").cautions
    assert "sap" in job(answer, "lift").cautions
    assert "sap" not in job(answer, "sow").cautions


def test_green_potatoes_are_cautioned_at_lifting():
    assert "green-potatoes" in job(planned(request("potato-early")), "lift").cautions


def test_roots_for_the_store_are_lifted_last_when_it_is_cool():
    answer = planned(request("carrot-maincrop", sow_on=date(2027, 5, 1)))
    lifting, storing = job(answer, "lift"), job(answer, "store")
    assert storing.window.start >= date(2027, 9, 20)
    assert lifting.window.start < date(2027, 9, 1) < lifting.window.by
    assert "lift_last_what_is_stored" in rules(lifting.notes)


def test_what_is_ripe_by_midsummer_is_eaten_and_not_stored():
    assert "store" not in names(planned(request("turnip", sow_on=date(2027, 3, 25), variety_days_max=50)))


def test_leaves_and_sprouts_are_picked_without_waiting_for_frost():
    for key in ("kale", "brussels-sprouts"):
        assert "leave_for_the_frost" not in rules(job(planned(request(key)), "lift").notes)
