from datetime import date

import pytest

from schedules.planner import SiteFacts, sentence
from schedules.planner.rules.guarding import catch_pct
from tests.schedules.planner.climates import NORTH, done, job, names, planned, request, rules

NO_FLY = SiteFacts(NORTH.latitude, NORTH.longitude, NORTH.zone, insects=frozenset())


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


def test_the_reason_gives_both_sums_and_their_sources():
    reason = cover(date(2027, 4, 1)).reason
    assert (reason.values["first_sum_cd"], reason.values["second_sum_cd"]) == (260, 1150)
    assert "NIBIO" in reason.source
    assert "Stevenson 1983" in reason.source


def test_a_site_without_carrot_fly_needs_no_cover():
    assert "cover" not in names(planned(site=NO_FLY))


def test_brassica_seedlings_are_covered_from_sowing():
    found = cover(date(2027, 5, 1), "turnip")
    assert found.reason.rule == "cover_seedlings"
    assert found.window.start == date(2027, 5, 1)


def test_beetroot_needs_no_cover():
    assert "cover" not in names(planned(request("beetroot-early")))


def test_a_tall_container_is_covered_all_the_same():
    note = cover(date(2027, 4, 1), container_height_cm=60).notes[0]
    assert note.rule == "height_is_no_cover"
    assert (note.values["catch_at_60_cm_pct"], note.values["catch_at_90_cm_pct"]) == (58, 33)


def test_a_low_container_says_nothing_of_height():
    assert cover(date(2027, 4, 1), container_height_cm=40).notes == ()


def test_a_cover_over_last_years_family_is_warned_of():
    assert "cover_traps_flies" in rules(planned(request(same_family_last_year=True)).warnings)


def test_last_years_family_without_a_cover_is_no_trap():
    assert "cover_traps_flies" not in rules(
        planned(request("beetroot-early", same_family_last_year=True)).warnings
    )


@pytest.mark.parametrize(
    ("height_cm", "share"), [(10, 100), (50, 66), (60, 58), (90, 33), (120, 8), (400, 0)]
)
def test_the_catch_falls_with_height(height_cm, share):
    # Bulletin of Entomological Research, sticky-board paper (abstract): 0.84 % less for each cm above 10.
    assert catch_pct(height_cm) == share
