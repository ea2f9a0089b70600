"""Planning a sowing: the wish, the look, the decision."""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from plots.models import Sowing
from schedules.models import Job
from society.models.members import Units
from tests.factories import make_bed, make_sighting, make_sowing
from tests.schedules.pages.conftest import SINCE

LIFTED = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}


def wish(cast: Any, **fields: Any) -> dict[str, str]:
    base = {"bed": cast.bed.pk, "crop_key": "carrot-early", "place": "whole", "when": "fit", "cover": "none"}
    return {name: str(value) for name, value in (base | fields).items()}


def look(client: Client, cast: Any, **fields: Any) -> Any:
    return client.get(reverse("sow", args=[cast.plot.pk]), {**wish(cast, **fields), "look": "first"})


def decide(client: Client, cast: Any, **fields: Any) -> Any:
    return client.post(reverse("sow", args=[cast.plot.pk]), wish(cast, **fields))


def text_of(answer: Any) -> str:
    return answer.content.decode()


def test_looking_saves_nothing(cast, as_account):
    answer = look(as_account(cast.ana_account), cast)

    assert answer.status_code == 200
    assert "<h1>The ground is rested from the carrot family</h1>" in text_of(answer)
    assert not Sowing.objects.exists()


def test_the_look_shows_dates_reasons_seed_and_sand(cast, as_account):
    page = text_of(look(as_account(cast.ana_account), cast, sow_on="2027-04-20", when="day"))

    assert "Sow carrot (early) on 20 April, on 6 m² of bed 1." in page
    assert "Thin carrot (early) to 25 mm" in page
    assert "40 m of row" in page  # 6 m² at 150 mm between rows
    assert "dry sand" in page
    assert "no published source" in page


def test_sets_are_counted_instead_of_weighed(cast, as_account):
    assert "sets at hand" in text_of(look(as_account(cast.ana_account), cast, crop_key="onion-sets"))


def test_planning_after_looking_saves_and_plans(cast, as_account):
    client = as_account(cast.ana_account)

    answer = decide(client, cast, seen="sound", variety="Nantes")

    sowing = Sowing.objects.get()
    assert answer.url == reverse("sowing", args=[sowing.pk])
    assert (sowing.variety, sowing.planned_by) == ("Nantes", cast.ana)
    assert Job.objects.filter(sowing=sowing, kind="sow").exists()


def test_a_decision_without_a_look_is_a_look(cast, as_account):
    answer = decide(as_account(cast.ana_account), cast)

    assert (answer.status_code, Sowing.objects.count()) == (200, 0)


def test_tired_ground_is_named_before_saving_with_its_area_and_what_was_there(cast, as_account):
    make_sowing(cast.bed, "parsnip", season=2026, **LIFTED)

    page = text_of(look(as_account(cast.ana_account), cast))

    assert "<h1>This ground has not rested long enough from the carrot family</h1>" in page
    assert "6.00 m² (100 %) of this ground carried the carrot family (Parsnip in 2026)" in page
    assert "Plan it all the same" in page


def test_tired_ground_may_be_planned_all_the_same_and_keeps_its_warning(cast, as_account):
    make_sowing(cast.bed, "parsnip", season=2026, **LIFTED)

    decide(as_account(cast.ana_account), cast, seen="broken")

    assert Sowing.objects.get(season=2027).verdict.level == "broken"


def test_a_verdict_that_changed_since_the_look_saves_nothing(cast, as_account):
    client = as_account(cast.ana_account)
    look(client, cast)
    make_sowing(cast.bed, "parsnip", season=2026, **LIFTED)

    answer = decide(client, cast, seen="sound")

    assert answer.status_code == 409
    assert "The ground record changed since you looked" in text_of(answer)
    assert not Sowing.objects.filter(season=2027).exists()


def test_a_helper_may_plan(cast, as_account):
    decide(as_account(cast.ben_account), cast, seen="sound")

    assert Sowing.objects.get().planned_by == cast.ben


def test_the_committee_may_plan_for_those_without_an_account(cast, as_account):
    decide(as_account(cast.dee_account), cast, seen="sound")

    assert Sowing.objects.get().planned_by == cast.dee


@pytest.mark.parametrize("method", [look, decide])
def test_nobody_else_finds_the_page(cast, as_account, method):
    assert method(as_account(cast.col_account), cast, seen="sound").status_code == 404
    assert not Sowing.objects.exists()


PART = {"place": "part", "length": "3", "width": "1.2"}


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"bed": ""}, "bed", "Choose the bed."),
        ({"bed": 999}, "bed", "Choose one of the beds of this plot."),
        ({"crop_key": ""}, "crop_key", "Choose the crop."),
        ({"crop_key": "mandrake"}, "crop_key", "Choose one of the crops."),
        ({"place": "part", "width": "1"}, "length", "Say how long the part is."),
        ({**PART, "length": "three"}, "length", "“three” is no measure; write a figure like 1.2."),
        ({**PART, "length": "0"}, "length", "0 m is no side of a piece of ground; give 0.05 m or more."),
        ({**PART, "length": "9"}, "place", "It would stick out 4.00 m over the east side of bed 1; move it"),
        ({"bed": "none"}, "place", "Without a bed, say where on the plot"),
        ({"when": "day"}, "sow_on", "The day is missing; enter it, or let the ground decide."),
        ({"when": "day", "sow_on": "April"}, "sow_on", "“April” is no date; write year, month and day"),
        ({"not_before": "2026-05-01"}, "not_before", "The season 2026 is over; choose 2027 or later"),
        ({"when": "day", "sow_on": "2060-05-01"}, "sow_on", "2060 is too far off"),
        ({"when": "day", "sow_on": "2019-12-31"}, "bed", "Bed 1 is there from 1 January 2020 on"),
        ({"cover": "tent"}, "cover", "Choose one of the lines that are offered."),
        ({"variety": "N" * 61}, "variety", "A variety’s name has at most 60 letters; shorten it."),
    ],
)
@pytest.mark.parametrize("method", [look, decide])
def test_what_cannot_be_planned_is_told_at_its_field(cast, as_account, method, fields, field, sentence):
    answer = method(as_account(cast.ana_account), cast, seen="sound", **fields)

    assert answer.status_code == 422
    assert any(sentence in error for error in answer.context["form"].errors[field])
    assert answer.context["form"].errors[field][0].replace("'", "&#x27;") in text_of(answer)
    assert not Sowing.objects.exists()


def test_over_another_sowing_the_page_says_which(cast, as_account):
    make_sowing(cast.bed, "radish", season=2027, state="sown", sown_on=date(2027, 3, 10))

    answer = look(as_account(cast.ana_account), cast)

    assert "6.00 m² of it lie over Radish, which stands there" in str(answer.context["form"].errors["place"])


def test_what_was_written_stands_again_after_a_refusal(cast, as_account):
    page = text_of(look(as_account(cast.ana_account), cast, **{**PART, "length": "9"}, variety="Nantes"))

    assert 'value="9"' in page
    assert 'value="Nantes"' in page
    assert '<option value="carrot-early" selected>' in page


def test_a_comma_serves_as_a_point(cast, as_account):
    decide(as_account(cast.ana_account), cast, seen="sound", **{**PART, "length": "2,5"})

    assert Sowing.objects.get().patch.area_m2 == pytest.approx(3.0)


def test_who_reads_feet_writes_feet(cast, as_account):
    cast.ana.units = Units.IMPERIAL
    cast.ana.save()

    decide(as_account(cast.ana_account), cast, seen="sound", place="part", length="10", width="3")

    assert Sowing.objects.get().patch.area_m2 == pytest.approx(30 * 0.3048**2, abs=1e-3)


def test_asked_late_in_the_year_the_ground_is_judged_for_the_season_of_sowing(cast, as_account):
    answer = look(as_account(cast.ana_account), cast, crop_key="parsnip", not_before="2027-12-01")

    assert "2028" in answer.context["preview"].lead
    decide(as_account(cast.ana_account), cast, crop_key="parsnip", not_before="2027-12-01", seen="sound")
    assert Sowing.objects.get().season == 2028


def test_roots_stand_first_and_every_crop_is_offered(cast, as_account):
    page = text_of(as_account(cast.ana_account).get(reverse("sow", args=[cast.plot.pk])))

    first, later = page.index('label="Carrot family"'), page.index('label="Pea and bean family"')
    assert first < page.index('value="carrot-early"') < page.index('value="celery"') < later
    assert page.count("<option value=") == 1 + 58 + 6  # the empty line, the crops, the covers


def test_a_site_without_weather_still_judges_and_weighs(cast, as_account):
    cast.site.normals.all().delete()

    page = text_of(look(as_account(cast.ana_account), cast))

    assert "There are no dates: the site has no weather yet" in page
    assert "about " in page


# session, account, society, members, seat, plot, workers, beds, what they carry, society again in the frame
FORM_QUERIES = 10
# the same, then what is in the way, the family's last season, what the site taught (liftings, soil readings),
# the weather (days, members' readings, normals), plans of others, and the ground for the verdict: its record,
# other uses, sightings, and what the society decided
LOOK_QUERIES = FORM_QUERIES + 13


def test_the_form_costs_the_same_with_one_bed_and_with_fifty(cast, as_account, django_assert_num_queries):
    client, url = as_account(cast.ana_account), reverse("sow", args=[cast.plot.pk])
    make_sowing(cast.bed, season=2027)
    with django_assert_num_queries(FORM_QUERIES):
        client.get(url)

    for number in range(49):
        make_sowing(make_bed(cast.plot, f"bed {number + 2}", since=SINCE), season=2027)
    with django_assert_num_queries(FORM_QUERIES):
        client.get(url)


def test_a_look_costs_the_same_over_one_sowing_and_over_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    with django_assert_num_queries(LOOK_QUERIES):
        look(client, cast)

    for _ in range(49):
        make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    with django_assert_num_queries(LOOK_QUERIES):
        look(client, cast)


def test_a_warning_names_what_else_would_fit_there(cast, as_account):
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    client = as_account(cast.ana_account)
    page = text_of(look(client, cast, crop_key="radish"))
    assert "What else would fit there in 2027" in page
    assert "Onion family (Al)" in page
    assert "Cabbage family (Br)" not in page
    assert "crop_key=onion-sets" in page
    assert "What else would fit" not in text_of(look(client, cast))


def test_where_a_problem_lives_on_several_families_none_of_them_is_named(cast, as_account):
    """Sclerotinia lives on the carrot, lettuce, pea, marrow and potato families (UC IPM): 2 seasons."""
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    make_sighting(cast.bed, "sclerotinia", on=date(2026, 8, 1), is_sure=True)
    page = text_of(look(as_account(cast.ana_account), cast, crop_key="radish"))
    assert "Onion family (Al)" in page
    for family in ("Carrot", "Lettuce", "Pea and bean", "Marrow", "Potato"):
        assert f"<li>{family} family" not in page


def test_ground_with_too_short_a_record_fits_nothing(cast, as_account):
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    cast.plot.record_since = 2026
    cast.plot.save()
    page = text_of(look(as_account(cast.ana_account), cast, crop_key="radish"))
    assert "Nothing else can be called sound there in 2027" in page


def test_a_changed_record_names_them_without_links(cast, as_account):
    client = as_account(cast.ana_account)
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    answer = decide(client, cast, crop_key="radish", seen="sound")
    assert answer.status_code == 409
    assert "What else would fit there in 2027" in text_of(answer)
    assert "crop_key=onion-sets" not in text_of(answer)


# a warning reads the ground once more, of every family
WARNED_QUERIES = LOOK_QUERIES + 6


def test_what_else_would_fit_costs_the_same_over_one_sowing_and_over_fifty(
    cast, as_account, django_assert_num_queries
):
    client = as_account(cast.ana_account)
    for many in (1, 49):
        for _ in range(many):
            make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
        with django_assert_num_queries(WARNED_QUERIES):
            look(client, cast, crop_key="radish")
