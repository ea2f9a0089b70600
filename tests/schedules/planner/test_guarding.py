from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedules.planner import Cover, SiteFacts, sentence
from schedules.planner.rules.guarding import catch_pct
from tests.schedules.planner.climates import NORTH, SOUTH, done, job, names, planned, request, rules

NO_FLY = SiteFacts(NORTH.latitude, NORTH.longitude, NORTH.zone, insects=frozenset())
ONION_FLY = SiteFacts(NORTH.latitude, NORTH.longitude, NORTH.zone, insects=frozenset({"onion-fly"}))


def cover(sow_on: date, crop_key: str = "carrot-early", **changes):
    return job(planned(request(crop_key, sow_on=sow_on, **changes), today=sow_on), "cover")


def test_carrots_are_covered_before_the_first_flight():
    found = cover(date(2027, 4, 1))
    assert found.reason.values["flight"] == "first"
    assert found.window.by.isoformat() <= found.reason.values["threat_on"]


def test_the_threat_is_taken_early():
    values = cover(date(2027, 4, 1)).reason.values
    assert values["threat_on"] < values["threat_best_on"]


def test_a_sowing_while_flies_are_about_is_covered_at_once():
    found = cover(date(2027, 5, 25))
    assert found.reason.values["flight"] == "on the wing"
    assert found.window.by == date(2027, 5, 25)
    assert "as soon as they are sown" in sentence(found.reason)


def test_flies_expected_before_today_are_no_longer_ahead():
    answer = planned(
        request(sow_on=date(2027, 4, 1)), record={"s1/sow": done(date(2027, 4, 1))}, today=date(2027, 6, 20)
    )
    reason = job(answer, "cover").reason
    assert reason.values["threat_on"] < "2027-06-20"
    assert "about already" in sentence(reason)


def test_a_summer_sowing_is_covered_before_the_second_flight():
    assert cover(date(2027, 7, 1)).reason.values["flight"] == "second"


def test_flies_of_the_second_flight_are_about_until_growth_stops():
    assert cover(date(2027, 9, 1)).reason.values["flight"] == "on the wing"


def test_the_cover_comes_before_the_first_thinning():
    answer = planned(request(sow_on=date(2027, 3, 20)), mean_c=12.0)
    assert job(answer, "cover").window.by <= job(answer, "thin-1").window.start


def test_the_cover_never_comes_before_the_sowing():
    sown = date(2027, 6, 1)
    answer = planned(request(sow_on=date(2027, 4, 1)), record={"s1/sow": done(sown)}, today=sown)
    assert job(answer, "cover").window.start >= sown


@settings(max_examples=15, deadline=None)
@given(warmer_c=st.floats(0.0, 3.0))
def test_a_cover_against_the_first_flight_is_never_later_when_every_day_is_warmer(warmer_c):
    def by(mean_c):
        asked = request("carrot-maincrop", sow_on=date(2027, 4, 1))
        found = job(planned(asked, today=date(2027, 4, 1), mean_c=mean_c), "cover")
        assert found.reason.values["flight"] == "first"
        return found.window.by

    assert by(9.0 + warmer_c) <= by(9.0)


def test_the_reason_gives_both_sums_and_their_sources():
    reason = cover(date(2027, 4, 1)).reason
    assert (reason.values["first_sum_cd"], reason.values["second_sum_cd"]) == (260, 1150)
    assert "NIBIO" in reason.source
    assert "Stevenson 1983" in reason.source


def test_a_site_without_carrot_fly_needs_no_cover():
    assert "cover" not in names(planned(site=NO_FLY))


def test_brassica_seedlings_are_covered_from_sowing_with_the_root_fly_beside():
    found = cover(date(2027, 3, 1), "turnip")
    assert found.reason.rule == "cover_seedlings"
    assert found.window.start == date(2027, 3, 1)
    note = next(each for each in found.notes if each.rule == "fly_over_seedlings")
    assert note.values["fly"] == "cabbage-root-fly"
    assert "Collier and Finch 1985" in note.source
    assert "first flight of the cabbage root fly is ahead" in sentence(note).lower()


def test_brassica_seedlings_without_root_fly_about_are_covered_all_the_same():
    found = job(planned(request("turnip", sow_on=date(2027, 5, 1)), site=NO_FLY), "cover")
    assert (found.reason.rule, found.notes) == ("cover_seedlings", ())


def test_planted_cabbages_are_collared_too():
    assert "collar_the_stems" in rules(cover(date(2027, 5, 1), "cabbage-summer").notes)
    assert "collar_the_stems" not in rules(cover(date(2027, 5, 1), "turnip").notes)


def test_onions_are_covered_before_the_onion_fly():
    found = cover(date(2027, 3, 20), "onion-sets")
    assert found.reason.rule == "cover_before_the_fly"
    assert found.reason.values["fly"] == "onion-fly"
    assert found.window.by.isoformat() == found.reason.values["threat_on"]


def test_sown_onions_meet_two_flies_and_one_cover_keeps_off_both():
    found = cover(date(2027, 4, 15), "onion-seed")
    assert {found.reason.values["fly"], *found.reason.values["also"].split(";")} == {
        "onion-fly",
        "bean-seed-fly",
    }
    assert "keeps off onion fly too" in sentence(found.reason)
    only = job(planned(request("onion-seed", sow_on=date(2027, 4, 15)), site=ONION_FLY), "cover")
    assert (only.reason.values["fly"], only.reason.values["also"]) == ("onion-fly", "")


def test_beans_are_covered_until_they_are_up_and_their_bed_is_worked_early():
    found = cover(date(2027, 5, 20), "french-bean")
    assert found.reason.rule == "cover_until_up"
    assert found.window.start == date(2027, 5, 20)
    assert "work_the_bed_early" in rules(found.notes)


def test_beetroot_needs_no_cover():
    assert "cover" not in names(planned(request("beetroot-early")))


def test_a_tall_container_is_covered_all_the_same():
    note = cover(date(2027, 4, 1), container_height_cm=60).notes[0]
    assert note.rule == "height_is_no_cover"
    assert (note.values["catch_at_60_cm_pct"], note.values["catch_at_90_cm_pct"]) == (58, 33)


def test_a_low_container_says_nothing_of_height():
    assert "height_is_no_cover" not in rules(cover(date(2027, 4, 1), container_height_cm=40).notes)


def test_ground_whose_flies_would_hatch_under_it_gets_no_cover_but_a_warning():
    answer = planned(request(same_family_last_year=True, sow_on=date(2027, 4, 1)))
    assert "cover" not in names(answer)
    assert "cover_traps_flies" in rules(answer.warnings)


def test_brassicas_after_brassicas_are_not_shut_in_with_root_flies():
    answer = planned(request("turnip", same_family_last_year=True, sow_on=date(2027, 4, 1)))
    assert "cover" not in names(answer)
    assert "cover_traps_flies" in rules(answer.warnings)


def test_once_the_flies_of_last_year_are_out_a_cover_may_go_on():
    answer = planned(request(same_family_last_year=True, sow_on=date(2027, 7, 20)), today=date(2027, 7, 20))
    assert "cover" in names(answer)
    assert "cover_traps_flies" not in rules(answer.warnings)


def test_a_fly_that_is_not_about_is_not_shut_in():
    answer = planned(request("turnip", same_family_last_year=True, sow_on=date(2027, 4, 1)), site=NO_FLY)
    assert "cover" in names(answer)
    assert "cover_traps_flies" not in rules(answer.warnings)


def test_bean_seed_flies_come_from_anywhere_so_a_cover_traps_none():
    answer = planned(request("french-bean", same_family_last_year=True, sow_on=date(2027, 5, 20)))
    assert "cover" in names(answer)
    assert "cover_traps_flies" not in rules(answer.warnings)


def test_last_years_family_without_an_insect_is_no_trap():
    assert "cover_traps_flies" not in rules(
        planned(request("beetroot-early", same_family_last_year=True)).warnings
    )


def test_the_mesh_stays_on_carrots_that_meet_the_second_flight():
    answer = planned(request("carrot-maincrop", sow_on=date(2027, 4, 1)))
    assert "mesh_stays_on" in rules(job(answer, "cover").notes)
    assert "uncover" not in names(answer)


def test_the_mesh_may_come_off_between_flights_where_carrots_are_up_before_the_second():
    quick = request("carrot-early", sow_on=date(2027, 5, 1), variety_days_min=58, variety_days_max=59)
    answer = planned(quick)
    off, lift = job(answer, "uncover"), job(answer, "lift")
    assert off.reason.rule == "uncover_between_flights"
    assert off.window.start.isoformat() == off.reason.values["over_on"]
    assert off.window.by <= lift.window.start
    assert lift.window.by.isoformat() < off.reason.values["second_on"]
    assert "may be over" in sentence(off.reason)


def test_leafy_brassicas_bear_the_fly_once_they_are_strong():
    answer = planned(request("cabbage-summer", sow_on=date(2027, 4, 20)))
    off = job(answer, "uncover")
    assert off.reason.rule == "uncover_strong_plants"
    assert (off.window.best - job(answer, "sow").window.best).days >= 42
    assert "uncover" not in names(planned(request("turnip", sow_on=date(2027, 4, 20))))


@pytest.mark.parametrize("sheet", [Cover.FLEECE, Cover.FILM])
def test_what_warms_the_rows_comes_off_before_the_heat(sheet):
    answer = planned(request("carrot-maincrop", sow_on=date(2027, 4, 1), cover=sheet))
    off = job(answer, "uncover-1")
    assert off.window.best < job(answer, "lift").window.start
    text = sentence(off.reason)
    assert f"Take the {sheet} off" in text
    assert "fine mesh instead against carrot flies" in text


def test_a_clear_sheet_is_off_at_sowing_and_needs_no_such_job():
    assert "uncover-1" not in names(planned(request(sow_on=date(2027, 4, 1), cover=Cover.CLEAR)))


def test_where_no_week_is_hot_fleece_stays_as_long_as_it_is_wanted():
    answer = planned(request(sow_on=date(2027, 5, 1), cover=Cover.FLEECE), mean_c=6.0, half_range_c=5.0)
    assert "uncover-1" not in names(answer)


def test_both_hemispheres_are_covered_half_a_year_apart():
    north = cover(date(2027, 4, 1)).window.by
    south = job(planned(request(sow_on=date(2027, 10, 1)), site=SOUTH, today=date(2027, 9, 1)), "cover")
    assert abs((south.window.by - north).days - 183) <= 3


@pytest.mark.parametrize(
    ("height_cm", "share"), [(10, 100), (50, 66), (60, 58), (90, 33), (120, 8), (400, 0)]
)
def test_the_catch_falls_with_height(height_cm, share):
    # Bulletin of Entomological Research, sticky-board paper (abstract): 0.84 % less for each cm above 10.
    assert catch_pct(height_cm) == share


def test_what_stands_through_the_winter_is_not_covered_from_the_autumn_on():
    cover = job(planned(request("garlic")), "cover")
    assert cover.window.by - cover.window.start <= timedelta(days=35)
