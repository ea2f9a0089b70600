"""The book of members: reading it and writing in it."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.models import WaitingEntry
from schedules.models import Delivery
from society.models import CommitteeSeat, Invitation, JournalEntry, Member
from tests import factories
from tests.schedules.committee.conftest import SINCE, TODAY, said

FORM = {"name": "Nell Spindle", "email": "nell@x.example", "joined_on": "2027-04-01", "units": "metric"}


def test_the_list_tells_ground_letters_and_office(cast, look):
    factories.make_member(cast.society, "Edda Reed", joined_on=SINCE, email="")

    page = look("committee-growers")

    assert "Five members in the book" in page
    assert f'holds <a href="/committee/plots/{cast.plot.pk}/">plot 7</a>' in page
    assert f'helps on <a href="/committee/plots/{cast.plot.pk}/">plot 7</a>' in page
    assert "Secretary" in page
    assert "letters on paper" in page


def test_members_are_found_by_a_part_of_their_name(look):
    page = look("committee-growers", q="furr")

    assert "Col Furrow" in page
    assert "Ana Orchard" not in page


def test_those_who_went_stand_in_a_list_of_their_own(cast, look):
    factories.make_member(cast.society, "Gone Away", joined_on=SINCE, left_on=TODAY)

    assert "Gone Away" not in look("committee-growers")
    assert "Gone Away" in look("committee-growers", gone="yes")


def test_a_long_list_is_cut_into_pages(cast, look):
    for number in range(45):
        factories.make_member(cast.society, f"Zed {number:02}", joined_on=SINCE, email="")

    assert "Page 1 of 2" in look("committee-growers")
    assert "Zed 44" in look("committee-growers", page=2)


@pytest.mark.parametrize("count", [1, 50])
def test_the_list_costs_the_same_for_one_and_for_fifty(cast, look, count):
    for number in range(count):
        member = factories.make_member(cast.society, f"Abel {number}", joined_on=SINCE, email="")
        plot = factories.make_plot(cast.site, f"A{number}", laid_out_on=SINCE, corner=(40, 9 * number))
        factories.make_tenancy(plot, member, since=SINCE)
        factories.make_seat(member, since=SINCE)

    with CaptureQueriesContext(connection) as queries:
        look("committee-growers")

    # session, account, society, members, seat; count, members, ground held and helped on, seats, waiting;
    # the society in the frame
    assert len(queries) == 12


def test_one_member_is_shown_with_everything_that_hangs_on_them(cast, look):
    page = look("committee-grower", cast.dee.pk)

    assert "Letters go to dee@alderlane.example" in page
    assert "Secretary since 1 January 2020" in page
    assert "dee@alderlane.example acts for them" in page


def test_a_new_member_is_entered(send):
    answer = send("committee-grower-add", **FORM)

    assert said(answer) == ["Nell Spindle is in the book."]
    assert Member.objects.get(name="Nell Spindle").joined_on == date(2027, 4, 1)


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "", "Enter the member’s name."),
        ("email", "nell at home", "write it like name@place.example"),
        ("joined_on", "soon", "Write year, month and day"),
        ("joined_on", "2028-01-01", "2028-01-01 is still to come"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(send, field, typed, sentence):
    answer = send("committee-grower-add", **{**FORM, field: typed})

    assert answer.status_code == 422
    assert sentence in answer.context["form"].errors[field][0]
    assert not Member.objects.filter(name="Nell Spindle").exists()


def change(cast, **fields):
    return {
        "name": "Ana Orchard",
        "email": "",
        "joined_on": "2020-01-01",
        "units": "metric",
        "version": 1,
        **fields,
    }


def test_the_book_is_corrected_and_the_journal_keeps_no_address(cast, send):
    send("committee-grower-change", cast.ana.pk, **change(cast, email="Ana@New.example"))

    cast.ana.refresh_from_db()
    assert (cast.ana.email, cast.ana.version) == ("ana@new.example", 2)
    entry = JournalEntry.objects.get(action="member.changed")
    assert entry.values["fields"] == ["email"]
    assert "new.example" not in str(entry.values)


def test_a_page_that_is_out_of_date_overwrites_nothing(cast, send):
    send("committee-grower-change", cast.ana.pk, **change(cast, email="first@x.example"))

    answer = send("committee-grower-change", cast.ana.pk, **change(cast, email="second@x.example"))

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "E-mail address: now first@x.example" in page
    assert 'value="second@x.example"' in page
    assert '<input type="hidden" name="version" value="2"' in page
    assert Member.objects.get(pk=cast.ana.pk).email == "first@x.example"


def test_an_invitation_is_sent_and_shown_until_it_is_answered(cast, send, look):
    factories.make_member(cast.society, "Edda Reed", joined_on=SINCE, email="edda@x.example")
    edda = Member.objects.get(name="Edda Reed")

    send("committee-grower-invite", edda.pk, email="edda@x.example")

    assert Invitation.objects.get().member == edda
    assert Delivery.objects.get(kind="invitation").address == "edda@x.example"
    assert "not answered yet" in look("committee-grower", edda.pk)
    assert "Edda Reed" in look("committee-growers", invited="yes")
    assert "Ana Orchard" not in look("committee-growers", invited="yes")


def test_an_invitation_without_an_address_is_refused(cast, send):
    answer = send("committee-grower-invite", cast.ana.pk, email="")

    assert answer.status_code == 422
    assert not Invitation.objects.exists()


def test_who_holds_a_plot_leaves_it_first(cast, send):
    answer = send("committee-grower-gone", cast.ana.pk, reason="left", on=TODAY, version=1)

    assert answer.status_code == 422
    assert "Ana Orchard holds plot 7; end that tenancy first" in answer.content.decode()


@pytest.mark.parametrize(("reason", "field"), [("left", "left_on"), ("death", "died_on")])
def test_who_goes_is_written_to_no_longer_and_their_help_ends(cast, send, reason, field):
    factories.make_waiting_entry(cast.site, cast.ben, asked_on=SINCE)

    send("committee-grower-gone", cast.ben.pk, reason=reason, on=TODAY, version=1)

    cast.ben.refresh_from_db()
    assert (getattr(cast.ben, field), cast.ben.is_active) == (TODAY, False)
    assert cast.ben.co_worked.get().until == TODAY
    assert WaitingEntry.objects.get().closed_on == TODAY


def test_a_slip_is_taken_back(cast, send):
    send("committee-grower-gone", cast.ben.pk, reason="left", on=TODAY, version=1)

    answer = send("committee-grower-back", cast.ben.pk)

    assert said(answer) == ["Ben Hurdle is a member again."]
    assert Member.objects.get(pk=cast.ben.pk).is_active


def test_who_never_went_cannot_be_taken_up(cast, send):
    assert said(send("committee-grower-back", cast.ben.pk)) == ["Ben Hurdle is a member already."]


def test_a_seat_is_given_and_ended(cast, send):
    send("committee-seat-add", cast.ana.pk, office="Treasurer", since=TODAY)
    seat = CommitteeSeat.objects.get(office="Treasurer")

    send("committee-seat-end", seat.pk, on=TODAY)

    seat.refresh_from_db()
    assert (seat.member, seat.since, seat.until) == (cast.ana, TODAY, TODAY)


def test_a_second_seat_at_once_is_refused(cast, send):
    answer = send("committee-seat-add", cast.dee.pk, office="Chair", since=TODAY)

    assert "has a seat then already" in answer.context["form"].errors["since"][0]


def test_somebody_always_stays_on_the_committee(cast, send):
    answer = send("committee-seat-end", CommitteeSeat.objects.get().pk, on=TODAY)

    assert answer.status_code == 422
    assert "only seat that is taken" in answer.context["form"].errors["on"][0]
