"""Problems of the ground: the committee looks, confirms, tells the plots beside, withdraws for a reason."""

from datetime import date

import pytest
from django.urls import reverse

from plots.models import Sighting
from tests import factories
from tests.factories import instant
from tests.schedules.committee.conftest import TODAY


def seen(cast, problem: str = "clubroot", **fields) -> Sighting:
    return factories.make_sighting(cast.bed, problem, on=date(2027, 3, 1), member=cast.ana, **fields)


def list_of(client) -> str:
    return client.get(reverse("committee-sightings")).content.decode()


def press(client, name: str, row: Sighting, **fields):
    data = {"version": row.version, **fields}
    return client.post(reverse(f"committee-sighting-{name}", args=[row.pk]), data, follow=True)


def test_nothing_entered_is_said(cast, dee):
    assert "<h1>No pest or disease of the ground is entered</h1>" in list_of(dee)


def test_what_waits_is_counted_and_says_who_entered_it(cast, dee):
    seen(cast)
    page = list_of(dee)
    assert "<h1>One problem of the ground waits for somebody to look</h1>" in page
    assert "entered by Ana Orchard" in page
    assert "Whoever saw it thought so." in page


def test_confirming_keeps_by_whom_and_judges_the_ground(cast, dee):
    row = seen(cast)
    sowing = factories.make_sowing(cast.bed, "turnip", season=2027)
    assert "Confirmed. It counts for certain" in press(dee, "confirm", row).content.decode()
    row.refresh_from_db()
    assert (row.is_sure, row.confirmed_by, row.member) == (True, cast.dee, cast.ana)
    sowing.refresh_from_db()
    assert sowing.verdict.level == "broken"
    page = list_of(dee)
    assert "No problem of the ground waits for the committee" in page
    assert "confirmed by Dee Sexton" in page
    assert "Confirm it" not in page


def test_the_plots_beside_are_told_and_told_no_more(cast, dee):
    row = seen(cast)
    assert "The plots beside are told. No person" in press(dee, "tell", row, tell="yes").content.decode()
    row.refresh_from_db()
    assert row.tell_neighbours
    assert "told no more" in press(dee, "tell", row, tell="no").content.decode()
    row.refresh_from_db()
    assert not row.tell_neighbours


def test_it_is_withdrawn_with_a_reason_only(cast, dee):
    row = seen(cast)
    url = reverse("committee-sighting-withdraw", args=[row.pk])
    assert "Clubroot, seen on 1 March 2027" in dee.get(url).content.decode()
    for because, said in [("", "Give the reason"), ("no", "Give the reason"), ("x" * 401, "in 400 letters")]:
        answer = dee.post(url, {"because": because, "version": row.version})
        assert answer.status_code == 422
        assert said in answer.content.decode()
    dee.post(url, {"because": "It was only drought.", "version": row.version})
    row.refresh_from_db()
    assert (row.withdrawn_because, row.withdrawn_at is None) == ("It was only drought.", False)
    assert "withdrawn on 12 April 2027. It was only drought." in list_of(dee)


@pytest.mark.parametrize(("name", "fields"), [("confirm", {}), ("tell", {"tell": "yes"})])
def test_who_was_slower_changes_nothing(cast, dee, name, fields):
    row = seen(cast)
    Sighting.objects.update(version=2)
    assert (
        "Somebody changed this while you had the page open"
        in press(dee, name, row, **fields).content.decode()
    )
    row.refresh_from_db()
    assert (row.is_sure, row.tell_neighbours) == (False, False)


@pytest.mark.parametrize("sent", [{}, {"version": "x"}, {"version": 1, "tell": "perhaps"}])
def test_a_button_without_its_words_changes_nothing(cast, dee, sent):
    row = seen(cast)
    dee.post(reverse("committee-sighting-tell", args=[row.pk]), sent)
    row.refresh_from_db()
    assert not row.tell_neighbours


def test_what_was_withdrawn_is_not_confirmed_any_more(cast, dee):
    row = seen(cast, withdrawn_at=instant(TODAY), withdrawn_because="It was only drought.")
    assert "It was withdrawn already" in press(dee, "confirm", row).content.decode()


def test_a_problem_no_longer_on_the_list_stops_no_page(cast, dee):
    seen(cast, "plum-pox")
    assert "waits for somebody" in list_of(dee)


# session, account; society, members, seat; sites, own rules (two), society; count, rows, waiting; frame
SIGHTINGS_QUERIES = 13


def test_the_list_costs_the_same_with_one_and_with_fifty(cast, dee, django_assert_max_num_queries):
    for many in (1, 49):
        for _ in range(many):
            seen(cast)
        with django_assert_max_num_queries(SIGHTINGS_QUERIES):
            list_of(dee)
