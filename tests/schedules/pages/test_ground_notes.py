"""What was done to the ground, seen in it and grown on it: entered, listed, withdrawn."""

from datetime import date

import pytest
from django.urls import reverse

from plots.models import GroundEvent, OtherUse, Sighting
from plots.outlines import rectangle
from plots.sighting_services import sighting_tell
from tests.factories import (
    instant,
    make_bed,
    make_ground_event,
    make_other_use,
    make_sighting,
    make_sowing,
    make_verdict,
)
from tests.schedules.pages.conftest import SINCE, TODAY

EVENT = {"kind": "lime", "on": "2027-03-01"}
SEEN = {"problem": "clubroot", "seen_on": "2027-04-10", "how_sure": "certain"}
GROWN = {"plant": "white-mustard", "first_season": "2026"}


@pytest.fixture
def ana(cast, as_account):
    return as_account(cast.ana_account)


def enter(client, cast, page: str, **fields):
    return client.post(reverse(page, args=[cast.plot.pk]), {"where": str(cast.bed.pk), **fields})


def notes_of(client, cast) -> str:
    return client.get(reverse("ground-notes", args=[cast.plot.pk])).content.decode()


def test_lime_is_entered_listed_and_withdrawn(cast, ana):
    assert enter(ana, cast, "ground-event-add", **EVENT).status_code == 302
    page = notes_of(ana, cast)
    assert "<strong>Lime, 1 March 2027</strong>, bed 1" in page

    event = GroundEvent.objects.get()
    assert (event.member, event.bed, event.outline) == (cast.ana, cast.bed, cast.bed.outline)
    ana.post(reverse("ground-event-withdraw", args=[event.pk]))
    page = notes_of(ana, cast)
    assert "<strong>Lime" not in page
    assert "<li>Lime, 1 March 2027, bed 1</li>" in page


def test_a_reading_and_shade_are_told_with_their_figures(cast, ana):
    enter(ana, cast, "ground-event-add", kind="ph", on="2027-03-01", value="6,4")
    enter(ana, cast, "ground-event-add", kind="shade", on="2027-03-01", where="plot")
    page = notes_of(ana, cast)
    assert "<strong>pH 6.4, read on 1 March 2027</strong>, bed 1" in page
    assert "<strong>Shade since 1 March 2027</strong>, the whole plot" in page


@pytest.mark.parametrize(
    ("units", "length", "width"), [("metric", "2", "1.2"), ("imperial", "6.5617", "3.937")]
)
def test_a_part_is_measured_in_the_readers_own_units(cast, ana, units, length, width):
    cast.ana.units = units
    cast.ana.save()
    answer = enter(ana, cast, "ground-event-add", **EVENT, length=length, width=width, along="0", across="0")
    assert answer.status_code == 302
    assert GroundEvent.objects.get().area_m2 == pytest.approx(2.4, abs=0.001)
    said = "2 m by 1.2 m" if units == "metric" else "6 ft 7 in by 3 ft 11 in"
    assert f"a part of bed 1, {said}" in notes_of(ana, cast)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"on": "2027-05-01"}, "is still to come"),
        ({"on": "the first"}, "This is not a date."),
        ({"kind": "gypsum"}, "Choose one of the lines that are offered."),
        ({"kind": "mix_fresh"}, "Choose one of the lines that are offered."),
        ({"kind": "ph"}, "A pH reading has its figure"),
        ({"kind": "ph", "value": "acid"}, "“acid” is no figure"),
        ({"kind": "ph", "value": "nan"}, "This is no figure"),
        ({"kind": "ph", "value": "14"}, "14 is no pH of a soil"),
        ({"value": "6.5"}, "Only a pH reading has a figure"),
        ({"until": "2027-03-02"}, "Only shade lasts"),
        ({"kind": "shade", "until": "2027-02-01"}, "is before"),
        ({"where": "999"}, "Choose one of the lines that are offered."),
        ({"where": "piece"}, "Choose one of the lines that are offered."),
        ({"length": "2"}, "Say how wide the part is"),
        ({"along": "1"}, "Say how long the part is"),
        ({"length": "9", "width": "1"}, "would stick out 4.00 m over the east side of bed 1"),
        ({"length": "0", "width": "1"}, "is no side of a piece of ground"),
        ({"length": "two", "width": "1"}, "“two” is no measure"),
        ({"words": "x" * 401}, "Say it in 400 letters"),
    ],
)
def test_an_event_that_cannot_be_keeps_nothing_and_says_why(cast, ana, wrong, said):
    answer = enter(ana, cast, "ground-event-add", **{**EVENT, **wrong})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not GroundEvent.objects.exists()


def test_fresh_mix_is_offered_where_there_is_a_container_and_clears_its_past(cast, ana):
    tub = make_bed(cast.plot, "tub", since=SINCE, corner=(8.0, 1.0), kind="container", height_m=0.5)
    make_sowing(tub, "carrot-early", season=2026, state="lifted", ended_on=date(2026, 9, 1))
    plot = reverse("plot", args=[cast.plot.pk])
    assert "Tub still rests from the carrot family" in ana.get(plot).content.decode()

    assert "fresh potting mix" in ana.get(reverse("ground-event-add", args=[cast.plot.pk])).content.decode()
    refused = enter(ana, cast, "ground-event-add", kind="mix_fresh", on="2027-03-01")
    assert "Fresh mix goes into a whole container" in refused.content.decode()

    enter(ana, cast, "ground-event-add", kind="mix_fresh", on="2027-03-01", where=str(tub.pk))
    assert "Tub still rests" not in ana.get(plot).content.decode()


def test_a_sighting_is_told_with_its_rest_its_source_and_how_sure(cast, ana):
    """Clubroot: 4 years at the least (AHDB), 7 without a susceptible crop (University of Connecticut IPM)."""
    enter(ana, cast, "sighting-add", **SEEN, words="Swollen roots.")
    page = notes_of(ana, cast)
    assert "<strong>Clubroot, seen on 10 April 2027</strong>, bed 1" in page
    assert "Whoever saw it was certain." in page
    assert "only perhaps unfit" in page
    assert (
        "The cabbage family rests two seasons longer here: 7 full seasons are advised instead of 5; 4" in page
    )
    assert "University of Connecticut" in page
    assert "Sources disagree: one European table asks for 12 years" in page
    assert "Swollen roots." in page
    sighting = Sighting.objects.get()
    assert (sighting.how_sure, sighting.is_sure, sighting.member) == ("certain", False, cast.ana)


def test_where_sources_disagree_about_cavity_spot_it_is_said(cast, ana):
    enter(ana, cast, "sighting-add", **{**SEEN, "problem": "cavity-spot"})
    page = notes_of(ana, cast)
    assert "HDC studentship CP 46, about 2010) found no effect of rotation" in page
    assert "rest no longer here than anyway" in page


def test_a_sighting_makes_a_planned_crop_perhaps_unfit_at_once(cast, ana):
    sowing = make_sowing(cast.bed, "turnip", season=2027)
    make_verdict(sowing, level="sound", judged_at=instant(TODAY))
    enter(ana, cast, "sighting-add", **SEEN)
    sowing.refresh_from_db()
    assert sowing.verdict.level == "possible"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"problem": ""}, "Choose one of the lines"),
        ({"problem": "blight"}, "Choose one of the lines"),
        ({"seen_on": "2027-04-13"}, "is still to come"),
        ({"how_sure": "dunno"}, "Choose one of the lines"),
        ({"where": ""}, "Choose one of the lines"),
    ],
)
def test_a_sighting_that_cannot_be_keeps_nothing(cast, ana, wrong, said):
    answer = enter(ana, cast, "sighting-add", **{**SEEN, **wrong})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Sighting.objects.exists()


def test_a_green_manure_counts_for_its_family_and_is_withdrawn(cast, ana):
    enter(ana, cast, "other-use-add", **GROWN)
    assert "<strong>White mustard (cabbage family), 2026</strong>, bed 1" in notes_of(ana, cast)
    plot = reverse("plot", args=[cast.plot.pk])
    assert "Bed 1 still rests from the cabbage family" in ana.get(plot).content.decode()

    ana.post(reverse("other-use-withdraw", args=[OtherUse.objects.get().pk]))
    assert "Rests from no family on record" in ana.get(plot).content.decode()


def test_what_is_not_on_the_list_is_entered_by_its_family(cast, ana):
    fields = {"name": "woad", "family": "Brassicaceae", "first_season": "2025", "last_season": "2026"}
    enter(ana, cast, "other-use-add", plant="", is_root="on", is_coarse="on", **fields)
    words = "<strong>Woad (cabbage family, a root), 2025 to 2026</strong>, somewhere on bed 1"
    assert words in notes_of(ana, cast)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"plant": ""}, "Say what grew"),
        ({"plant": "", "name": "woad"}, "Choose its family"),
        ({"name": "woad"}, "not both"),
        ({"plant": "kudzu"}, "Choose one of the lines"),
        ({"first_season": "2030"}, "Choose one of the lines"),
        ({"first_season": "soon"}, "Choose one of the lines"),
        ({"last_season": "2025"}, "give a season from 2026"),
        ({"plant": "", "name": "x" * 61, "family": "Poaceae"}, "Say it in 60 letters"),
    ],
)
def test_a_use_that_cannot_be_keeps_nothing(cast, ana, wrong, said):
    answer = enter(ana, cast, "other-use-add", **{**GROWN, **wrong})
    assert answer.status_code == 422
    assert said.lower() in answer.content.decode().lower()
    assert not OtherUse.objects.exists()


def test_a_patch_lists_what_lies_on_it_and_offers_itself(cast, ana):
    half = rectangle((1.0, 1.0), length_m=2.5, width_m=1.2)
    patch = make_sowing(cast.bed, season=2027, outline=half).patch
    url = reverse("ground-event-add", args=[cast.plot.pk]) + f"?patch={patch.pk}"
    assert "this piece of bed 1" in ana.get(url).content.decode()
    ana.post(url, {**EVENT, "where": "piece"})
    assert GroundEvent.objects.get().outline == half

    page = ana.get(reverse("patch", args=[cast.plot.pk, patch.pk])).content.decode()
    assert "<strong>Lime, 1 March 2027</strong>, a part of bed 1, 2.5 m by 1.2 m" in page


def test_neighbours_read_what_it_is_and_nobodys_name(cast, ana, as_account):
    enter(ana, cast, "sighting-add", **SEEN)
    page = reverse("plot", args=[cast.other_plot.pk])
    col = as_account(cast.col_account)
    assert "Seen beside" not in col.get(page).content.decode()

    sighting_tell(sighting=Sighting.objects.get(), tell=True, account=None, now=instant(TODAY))
    for url in (page, reverse("ground-notes", args=[cast.other_plot.pk])):
        told = col.get(url).content.decode()
        assert "Clubroot may have been seen on ground beside yours." in told
        assert "Clean soil off tools and boots" in told
        assert "Ana" not in told
        assert "plot 7" not in told.lower()
    assert "Seen beside" not in ana.get(reverse("plot", args=[cast.plot.pk])).content.decode()


@pytest.mark.parametrize("name", ["ground-event-withdraw", "other-use-withdraw"])
def test_nobody_else_withdraws_but_the_committee_does(cast, ana, as_account, name):
    row = (
        make_ground_event(cast.bed, "lime", on=TODAY)
        if name == "ground-event-withdraw"
        else make_other_use(cast.bed, "rye", "Poaceae", season=2026)
    )
    url = reverse(name, args=[row.pk])
    assert as_account(cast.col_account).post(url).status_code == 404
    assert as_account(cast.dee_account).post(url).status_code == 302
    row.refresh_from_db()
    assert row.withdrawn_at is not None
    assert "already" in ana.post(url, follow=True).content.decode()


# session, account, society, members, seat, plot, workers, events, sightings, other uses, own rules (two),
# problems beside, society again
NOTES_QUERIES = 14


def test_the_list_costs_the_same_with_one_entry_and_with_fifty(cast, ana, django_assert_num_queries):
    for many in (1, 49):
        for _ in range(many):
            make_ground_event(cast.bed, "lime", on=TODAY)
            make_sighting(cast.bed, "clubroot", on=TODAY)
        with django_assert_num_queries(NOTES_QUERIES):
            notes_of(ana, cast)
