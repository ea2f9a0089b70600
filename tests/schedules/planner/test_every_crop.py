"""Every crop is planned, on a mild site, a southern one and one of hot summers and hard winters."""

from datetime import date

import numpy as np
import pytest

from plots.crops import crops
from schedules.agronomy.climate import Normals, ensemble
from schedules.planner import SiteFacts, SowingRequest, plan, sentence, span
from schedules.titles import job_title
from tests.factories import MILD_RAIN_MM, MILD_TMAX_C, MILD_TMIN_C

TODAY = date(2027, 3, 1)
COLD_TMIN_C = (-10, -8, -2, 5, 11, 16, 19, 18, 13, 6, -1, -7)
HOT_TMAX_C = (-1, 1, 8, 16, 22, 28, 31, 30, 26, 18, 9, 1)
DATES = (None, date(2027, 4, 10), date(2027, 6, 25), date(2027, 10, 20), date(2028, 1, 5))
ORDER = ("before", "sow", "cover", "tend", "near ripe", "lift", "store", "store_check")
STEPS = {
    "raise": "before",
    "warm": "before",
    "showing": "tend",
    "weed": "tend",
    "thin": "tend",
    "earth_up": "tend",
    "uncover": "tend",
    "necks": "near ripe",
}
OUTSIDE = {"resow", "water"}
VERBS = {"lift": "Lift", "pull": "Pull", "cut": "Cut", "pick": "Pick"}


def normals(tmin_c, tmax_c, *, southern=False):
    columns = [np.roll(np.array(each, float), 6 * southern) for each in (tmin_c, tmax_c, MILD_RAIN_MM)]
    return Normals(*columns, np.full(12, 3.0))


SITES = {
    "mild": (SiteFacts(52, -1, "Europe/London"), normals(MILD_TMIN_C, MILD_TMAX_C)),
    "southern": (SiteFacts(-40, 175, "Pacific/Auckland"), normals(MILD_TMIN_C, MILD_TMAX_C, southern=True)),
    "continental": (SiteFacts(41, -90, "America/Chicago"), normals(COLD_TMIN_C, HOT_TMAX_C)),
}
EVERY = pytest.mark.parametrize("grown", crops(), ids=lambda each: each.key)
EVERYWHERE = pytest.mark.parametrize("place", SITES)
PLANTED = [each for each in crops() if each.grown_from != "seed"]


def by_key(key):
    return next(each for each in crops() if each.key == key)


def planned(grown, place="mild", sow_on=None):
    site, usual = SITES[place]
    asked = SowingRequest("s1", grown, sow_on, TODAY)
    first, days = span(asked, site, {}, TODAY)
    weather = ensemble(observed=None, normals=usual, today=TODAY, first=first, days=days)
    return plan(asked, site, weather, {}, TODAY)


def reasons(answer):
    return [*answer.warnings, *(each for job in answer.jobs for each in (job.reason, *job.notes))]


def rules(answer):
    return {each.rule for each in reasons(answer)}


def job(answer, kind):
    return next(each for each in answer.jobs if each.kind == kind)


@EVERYWHERE
@EVERY
def test_every_crop_is_planned_with_its_jobs_in_order_and_every_reason_sourced(grown, place):
    for sow_on in DATES:
        answer = planned(grown, place, sow_on)
        assert answer.jobs or answer.warnings[0].rule == "no_day_is_fit"
        chain = [each for each in answer.jobs if each.kind not in OUTSIDE]
        places = [ORDER.index(STEPS.get(each.kind, each.kind)) for each in chain]
        assert places == sorted(places)
        starts = [each.window.start for each in chain]
        assert starts == sorted(starts)
        assert [each.rule for each in reasons(answer) if not each.source] == []


@EVERYWHERE
@EVERY
def test_every_sentence_of_every_crop_can_be_read_in_both_units(grown, place):
    for reason in reasons(planned(grown, place)):
        for units in ("metric", "imperial"):
            text = sentence(reason, units)
            assert text[0].isupper()
            assert text.endswith(".")
            assert "None" not in text
            assert "  " not in text


@EVERYWHERE
@EVERY
def test_a_crop_is_gathered_by_its_own_verb_or_no_date_is_given(grown, place):
    answer = planned(grown, place, date(2027, 6, 25))
    lifting = [each for each in answer.jobs if each.kind == "lift"]
    assert len(lifting) == grown.has("days_to_maturity_min")
    if lifting:
        verb = VERBS[grown.fact("gather").value]
        assert sentence(lifting[0].reason).startswith(verb)
        assert job_title("lift", grown, {}, units="metric") == f"{verb} {grown.name_in_text}"


@EVERYWHERE
@EVERY
def test_nothing_is_gathered_before_its_published_days_could_have_passed(grown, place):
    answer = planned(grown, place)
    for gathering in (each for each in answer.jobs if each.kind == "lift"):
        assert gathering.window.start > job(answer, "sow").window.start


@pytest.mark.parametrize("grown", PLANTED, ids=lambda each: each.key)
def test_what_is_planted_is_never_told_to_be_sown(grown):
    answer = planned(grown, "continental")
    assert sentence(job(answer, "sow").reason).startswith("Plant ")
    assert job_title("sow", grown, {}, units="metric") == f"Plant {grown.name_in_text}"
    assert "before sowing" not in " ".join(sentence(each) for each in reasons(answer))
    assert answer.emergence is None


@pytest.mark.parametrize("key", ["asparagus", "rhubarb"])
def test_perennials_say_in_which_year_they_are_first_gathered(key):
    answer = planned(by_key(key))
    warning = next(each for each in answer.warnings if each.rule == "gather_in_later_years")
    assert "year after planting" in sentence(warning)
    assert not {each.kind for each in answer.jobs} & {"lift", "store", "necks"}


@pytest.mark.parametrize("key", ["strawberry", "globe-artichoke"])
def test_a_crop_without_published_days_says_so(key):
    warning = next(each for each in planned(by_key(key)).warnings if each.rule == "gathering_not_known")
    assert "no published figure" in sentence(warning)


@pytest.mark.parametrize("place", ["mild", "continental"])
def test_garlic_is_planted_in_autumn_and_lifted_the_next_summer(place):
    answer = planned(by_key("garlic"), place)
    assert answer.sow.best.month in {10, 11}
    assert job(answer, "lift").window.best.year == 2028
    assert job(answer, "lift").window.best.month in {6, 7, 8}


def test_southern_garlic_is_planted_in_southern_autumn():
    assert planned(by_key("garlic"), "southern").sow.best.month in {4, 5}


def test_garlic_in_warm_ground_is_told_to_wait():
    assert "soil_too_warm" in rules(planned(by_key("garlic"), sow_on=date(2027, 8, 1)))


def test_winter_radish_waits_for_midsummer():
    assert planned(by_key("winter-radish")).sow.start == date(2027, 6, 21)
    assert planned(by_key("winter-radish"), "southern").sow.start.month == 12
    assert "before_midsummer" in rules(planned(by_key("winter-radish"), sow_on=date(2027, 5, 1)))


def test_sprouting_broccoli_stands_through_a_mild_winter_and_fears_a_hard_one():
    grown = by_key("purple-sprouting-broccoli")
    assert job(planned(grown), "lift").window.best.year == 2028
    assert "winter_may_kill" not in rules(planned(grown))
    assert "winter_may_kill" in rules(planned(grown, "continental"))


@EVERY
def test_only_tender_crops_are_warned_of_frost(grown):
    answer = planned(grown, sow_on=date(2027, 4, 10))
    told = "last_frosts_of_spring" in {each.rule for each in answer.outlook}
    assert told == (grown.fact("frost_class").value == "tender")


def test_a_tender_crop_in_midsummer_is_not_warned_of_frost():
    answer = planned(by_key("tomato"), "continental", date(2027, 6, 25))
    assert "last_frosts_of_spring" not in {each.rule for each in answer.outlook}


@pytest.mark.parametrize("key", ["tomato", "courgette", "sweetcorn", "runner-bean", "french-bean"])
def test_tender_crops_wait_for_their_soil(key):
    answer = planned(by_key(key))
    assert answer.sow.start >= date(2027, 5, 1)
    values = job(answer, "sow").reason.values
    assert values["soil_c"] >= values["practical_sow_soil_c"] >= 10


def test_a_cool_summer_is_too_cool_for_aubergines_and_says_so():
    answer = planned(by_key("aubergine"))
    assert (answer.sow, answer.jobs) == (None, ())
    assert "a warmer place" in sentence(answer.warnings[0])


RAISED = [
    ("courgette", None, "Sow them 25 mm deep under cover about 28 days before"),
    ("leek", None, "Sow them 10 mm deep under cover now and plant them near 10 May 2027, or buy"),
    ("celery", date(2027, 4, 10), "Sow them 3 mm deep under cover now"),
]


@pytest.mark.parametrize(("key", "sow_on", "words"), RAISED)
def test_young_plants_are_raised_in_time_or_bought(key, sow_on, words):
    raising = job(planned(by_key(key), sow_on=sow_on), "raise")
    assert sentence(raising.reason).startswith(words)
    assert raising.window.start <= raising.window.best <= raising.window.by


def test_what_is_planted_waits_to_be_planted_next_season():
    answer = planned(by_key("celery"), "southern")
    warning = next(each for each in answer.warnings if each.rule == "next_season_instead")
    assert sentence(warning).startswith("Plant next season")


def test_days_printed_from_sowing_lose_what_was_spent_under_cover():
    values = job(planned(by_key("courgette")), "lift").reason.values
    base_c, raised_days = values["base_c"], values["raised_days"]
    assert values["sum_min_cd"] == round((50 - raised_days) * (values["reference_c"] - base_c))


def test_a_crop_without_a_base_names_the_general_one():
    reason = job(planned(by_key("rocket")), "lift").reason
    assert reason.values["base_c"] == 5
    assert "no base temperature is published" in reason.source


def test_broad_beans_show_by_their_heat_sum():
    assert planned(by_key("broad-bean")).emergence is not None


def test_seed_of_which_nothing_is_known_is_not_promised_to_show():
    answer = planned(by_key("coriander"))
    assert answer.emergence is None
    assert "emergence_not_known" in rules(answer)


STORES = [
    ("potato-maincrop", "store_in_the_dark"),
    ("jerusalem-artichoke", "store_in_sand"),
    ("swede", "store_in_sand"),
    ("garlic", "dry_then_store"),
    ("cabbage-winter", "store_cool_and_moist"),
    ("winter-squash", "ripen_then_store"),
]


@pytest.mark.parametrize(("key", "rule"), STORES)
def test_each_kind_of_crop_is_stored_in_its_own_way(key, rule):
    assert job(planned(by_key(key)), "store").reason.rule == rule


@pytest.mark.parametrize("key", ["tomato", "lettuce", "french-bean", "celery"])
def test_what_is_eaten_fresh_is_not_stored(key):
    assert "store" not in {each.kind for each in planned(by_key(key)).jobs}


@pytest.mark.parametrize("key", ["leek", "celery", "parsley", "kale", "cabbage-winter"])
def test_leaves_and_stems_are_spoken_of_as_such(key):
    text = " ".join(sentence(each) for each in reasons(planned(by_key(key))))
    assert "roots" not in text
    assert "carrot" not in text or by_key(key).has("flight")


def test_rhubarb_warns_of_its_leaves_and_beans_of_eating_them_raw():
    assert "leaf-blades" in job(planned(by_key("rhubarb")), "sow").cautions
    assert "raw-beans" in job(planned(by_key("runner-bean")), "lift").cautions
