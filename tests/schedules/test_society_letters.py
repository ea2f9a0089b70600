"""Urgent notices, offers, the committee's letter, and standing in: when they fall due and what they say."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.urls import reverse

from plots.models import PlotOffer
from plots.waiting_services import offer_answer
from schedules import deliveries
from schedules.committee_digest import committee_digest
from schedules.models import Delivery, Notice
from schedules.notice_services import notice_change, notice_end, notice_make
from schedules.offer_services import plot_offer
from society.absence_selectors import stand_in_for
from society.models import Member
from tests import factories
from tests.letters_out import send_what_is_due

pytestmark = pytest.mark.django_db

SINCE = date(2020, 1, 1)
TODAY = date(2027, 4, 15)
NOW = datetime(2027, 4, 15, 8, tzinfo=UTC)
MONDAY = datetime(2027, 4, 12, 6, tzinfo=UTC)  # seven in London
DAY = timedelta(days=1)
TEXT = "The water is off from noon: fill your cans before."
State = Delivery.State


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast() -> factories.Cast:
    """The cast, with something planned on both plots, so that neither lies bare."""
    cast = factories.make_cast(since=SINCE)
    for bed in (cast.bed, cast.other_bed):
        factories.make_sowing(bed, season=2027)
    return cast


def go(now: datetime = NOW) -> list[mail.EmailMessage]:
    """What is written down by now goes out."""
    deliveries.deliveries_plan(now=now)
    return send_what_is_due(now)


def body(message: mail.EmailMessage) -> str:
    return " ".join(str(message.body).split())


def readers(messages: list[mail.EmailMessage]) -> list[str]:
    return sorted(message.to[0].partition("@")[0] for message in messages)


def put_up(cast: factories.Cast, text: str = TEXT, **fields: Any) -> Notice:
    wish = {"since": TODAY, "until": TODAY + 3 * DAY, "is_public": False, "is_urgent": True, **fields}
    return notice_make(site=cast.site, text=text, account=None, now=NOW, **wish)


# Urgent notices


def test_an_urgent_notice_goes_to_everybody_on_the_site(cast: factories.Cast) -> None:
    put_up(cast)
    sent = go()
    assert readers(sent) == ["ana", "ben", "col"]
    assert sent[0].subject == f"Urgent, from the committee: {TEXT}"
    assert TEXT in body(sent[0])
    assert "The notice stands until Sunday 18 April." in body(sent[0])


def test_a_calm_notice_goes_to_nobody(cast: factories.Cast) -> None:
    put_up(cast, is_urgent=False)
    assert go() == []


def test_a_notice_is_told_once(cast: factories.Cast) -> None:
    put_up(cast)
    assert len(go()) == 3
    assert go(NOW + timedelta(minutes=1)) == []


def test_a_notice_for_later_is_told_on_its_first_morning(cast: factories.Cast) -> None:
    put_up(cast, since=TODAY + DAY)
    assert go() == []
    morning = datetime(2027, 4, 16, 6, tzinfo=UTC)
    told = [message for message in go(morning) if "Urgent" in message.subject]
    assert readers(told) == ["ana", "ben", "col"]


def test_what_says_something_else_is_told_again_and_follows(cast: factories.Cast) -> None:
    notice = put_up(cast)
    first = {message.to[0]: message for message in go()}
    later = NOW + timedelta(hours=2)
    notice_change(notice=notice, version=notice.version, text="It is on again.", account=None, now=later)
    again = go(later)
    assert len(again) == 3
    assert "It takes the place of what was said on Thursday 15 April." in body(again[0])
    for message in again:
        assert message.extra_headers["References"] == first[message.to[0]].extra_headers["Message-ID"]


def test_a_notice_that_only_stands_longer_is_not_told_again(cast: factories.Cast) -> None:
    notice = put_up(cast)
    go()
    notice_change(notice=notice, version=notice.version, until=TODAY + 5 * DAY, account=None, now=NOW)
    assert go(NOW + timedelta(minutes=1)) == []


def test_a_notice_taken_down_before_it_was_sent_is_not_sent(cast: factories.Cast) -> None:
    notice = put_up(cast)
    deliveries.deliveries_plan(now=NOW)
    notice_end(notice=notice, account=None, now=NOW)
    assert send_what_is_due(NOW) == []
    assert set(Delivery.objects.values_list("state", flat=True)) == {State.MISSED}


def test_a_notice_waits_for_quiet_hours_to_end(cast: factories.Cast) -> None:
    factories.make_preference(cast.ana, quiet_from=8, quiet_until=11)
    put_up(cast)
    assert readers(go()) == ["ben", "col"]
    assert readers(go(NOW + timedelta(hours=2))) == ["ana"]


def test_who_wants_no_notices_gets_none(cast: factories.Cast) -> None:
    factories.make_preference(cast.ana, notices=False)
    put_up(cast)
    assert readers(go()) == ["ben", "col"]


def test_a_stand_in_gets_it_for_whom_they_stand_in_and_never_twice(cast: factories.Cast) -> None:
    for away, stand_in in ((cast.ana, cast.dee), (cast.ben, cast.col)):
        factories.make_absence(away, stand_in, since=TODAY, until=TODAY, accepted_at=NOW - 9 * DAY)
    put_up(cast)
    deliveries.deliveries_plan(now=NOW)
    Delivery.objects.exclude(kind="notice").delete()
    sent = send_what_is_due(NOW)
    assert readers(sent) == ["col", "dee"]
    assert any(message.subject.startswith("For Ana Orchard: urgent, from the") for message in sent)


def test_a_long_notice_is_cut_in_the_subject_and_whole_in_the_letter(cast: factories.Cast) -> None:
    text = "word " * 79 + "end"
    put_up(cast, text=text)
    sent = go()[0]
    assert len(sent.subject) < 130
    assert sent.subject.endswith(" …")
    assert text in body(sent)


def test_the_page_puts_up_an_urgent_notice(cast: factories.Cast, client: Any) -> None:
    client.force_login(cast.dee_account)
    url = f"{reverse('committee-notice-add')}?site={cast.site.slug}"
    said = {"text": TEXT, "since": "2027-04-15", "until": "2027-04-16", "is_public": "no", "is_urgent": "on"}
    assert client.post(url, said).status_code == 302
    assert Notice.objects.get().letters_at == NOW
    assert (
        "told by letter"
        in client.get(f"{reverse('committee-notices')}?site={cast.site.slug}").content.decode()
    )


# Offers


@pytest.fixture
def una(cast: factories.Cast) -> Member:
    return factories.make_member(cast.society, "Una Waits", joined_on=SINCE)


def offer(cast: factories.Cast, member: Member, *, lapses_on: date = TODAY + 9 * DAY) -> PlotOffer:
    entry = factories.make_waiting_entry(cast.site, member, asked_on=date(2026, 11, 2))
    plot = factories.make_plot(cast.site, "12", laid_out_on=SINCE)
    return plot_offer(entry=entry, plot=plot, made_on=TODAY, lapses_on=lapses_on, account=None, now=NOW)


def test_an_offer_is_told_to_the_one_it_is_made_to(cast: factories.Cast, una: Member) -> None:
    offer(cast, una)
    [sent] = go()
    assert sent.to == [una.email]
    assert sent.subject == "Plot 12 at Alder Lane is offered to you"
    assert "You have waited for a plot since 2 November 2026." in body(sent)
    assert "Tell the committee by Saturday 24 April whether you take it." in body(sent)


def test_an_offer_answered_meanwhile_is_not_told(cast: factories.Cast, una: Member) -> None:
    made = offer(cast, una)
    offer_answer(offer=made, answer="no", on=TODAY, account=None, now=NOW)
    assert go() == []


def test_an_offer_to_who_has_no_address_writes_nothing_down(cast: factories.Cast, una: Member) -> None:
    Member.objects.filter(pk=una.pk).update(email="")
    una.refresh_from_db()
    offer(cast, una)
    assert not Delivery.objects.exists()


# To the committee


def invited(cast: factories.Cast, *, days: int = 10) -> None:
    cast.ana.invitations.create(
        email="ana@alderlane.example",
        token_hash="0" * 64,
        made_at=MONDAY - days * DAY,
        expires_at=MONDAY + 3 * DAY,
    )


def test_the_committee_hears_on_mondays_of_what_waits(cast: factories.Cast, una: Member) -> None:
    invited(cast)
    factories.make_offer(
        factories.make_waiting_entry(cast.site, una, asked_on=SINCE),
        factories.make_plot(cast.site, "12", laid_out_on=SINCE),
        made_on=date(2027, 4, 1),
        lapses_on=date(2027, 4, 14),
    )
    factories.make_delivery(
        cast.col,
        local_date=date(2027, 4, 9),
        state="refused",
        title="Two jobs",
        last_error="550 no such user",
    )
    assert go(MONDAY - timedelta(seconds=1)) == []
    [sent] = go(MONDAY)
    assert sent.to == [cast.dee.email]
    assert sent.subject == (
        "For the committee: one offer that lapses, one invitation unanswered and one letter in trouble"
    )
    text = body(sent)
    assert "Plot 12 at Alder Lane, to Una Waits It lapses after Wednesday 14 April" in text
    assert "Ana Orchard Sent on 2 April to ana@alderlane.example; it holds until 15 April." in text
    assert "To Col Furrow: Two jobs Refused. 550 no such user" in text


def test_nothing_to_say_is_no_letter(cast: factories.Cast) -> None:
    assert go(MONDAY) == []


def test_a_fresh_invitation_is_not_unanswered_yet(cast: factories.Cast) -> None:
    invited(cast, days=3)
    assert go(MONDAY) == []


def test_the_committees_letter_is_for_those_who_want_it(cast: factories.Cast) -> None:
    factories.make_preference(cast.dee, digest=False)
    invited(cast)
    assert go(MONDAY) == []


def test_who_lost_the_seat_meanwhile_gets_no_letter(cast: factories.Cast) -> None:
    invited(cast)
    deliveries.deliveries_plan(now=MONDAY)
    cast.dee.seats.update(until=date(2027, 4, 12))
    assert send_what_is_due(MONDAY) == []


def test_a_plot_that_lies_bare_in_the_growing_months_is_told_kindly(cast: factories.Cast) -> None:
    cast.other_plot.patches.all().first().sowings.all().delete()
    [silent] = committee_digest(today=TODAY, now=NOW).silent
    assert (silent.plot, silent.last, silent.late_jobs) == (cast.other_plot, None, 0)
    [sent] = go(MONDAY)
    assert "Plot 8 at Alder Lane, Col Furrow Nothing was ever recorded, and no crop is planned." in body(sent)
    assert "ask kindly" in body(sent)


def test_a_plot_whose_jobs_are_long_late_is_told(cast: factories.Cast) -> None:
    sowing = factories.make_sowing(cast.other_bed, season=2027, state="sown", sown_on=date(2027, 2, 20))
    factories.make_job(sowing, "weed", start_on=date(2027, 3, 10))
    [silent] = committee_digest(today=TODAY, now=NOW).silent
    assert (silent.last, silent.late_jobs) == (date(2027, 2, 20), 1)


@pytest.mark.parametrize(
    ("latitude", "day", "is_told"),
    [(52.0, date(2027, 1, 15), False), (-37.0, date(2027, 1, 15), True), (-37.0, date(2027, 6, 15), False)],
)
def test_bare_ground_in_winter_is_nothing_to_tell(
    cast: factories.Cast, latitude: float, day: date, is_told: bool
) -> None:
    cast.other_plot.patches.all().first().sowings.all().delete()
    type(cast.site).objects.update(latitude=latitude)
    assert bool(committee_digest(today=day, now=factories.instant(day)).silent) is is_told


def test_a_new_tenant_is_given_time(cast: factories.Cast) -> None:
    cast.other_plot.patches.all().first().sowings.all().delete()
    cast.other_plot.tenancies.update(since=TODAY - 30 * DAY)
    assert committee_digest(today=TODAY, now=NOW).silent == ()


def test_the_digest_asks_no_more_for_many_plots(cast: factories.Cast, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(13):
        committee_digest(today=TODAY, now=NOW)
    for number in range(30):
        member = factories.make_member(cast.society, f"Member {number}", joined_on=SINCE)
        factories.make_tenancy(
            factories.make_plot(cast.site, f"n{number}", laid_out_on=SINCE), member, since=SINCE
        )
    with django_assert_num_queries(13):
        assert len(committee_digest(today=TODAY, now=NOW).silent) == 30


# Standing in


def away(cast: factories.Cast, **fields: Any) -> Any:
    days = {"since": TODAY + DAY, "until": TODAY + 4 * DAY, "accepted_at": NOW, **fields}
    return factories.make_absence(cast.ana, cast.col, **days)


def stood_in(messages: list[mail.EmailMessage]) -> dict[str, str]:
    return {message.to[0].partition("@")[0]: message.subject for message in messages}


@pytest.mark.parametrize("what", [{"left_on": TODAY}, {"email_refused_at": NOW}, {"email": ""}])
def test_whoever_goes_away_hears_that_the_stand_in_cannot_be_reached(
    cast: factories.Cast, what: dict[str, Any]
) -> None:
    away(cast)
    Member.objects.filter(pk=cast.col.pk).update(**what)
    [message] = go(datetime(2027, 4, 16, 6, tzinfo=UTC))
    assert message.to == [cast.ana.email]
    assert message.subject == "Nobody reads your letters while you are away"
    assert "Col Furrow cannot be written to at present" in body(message)


def test_both_hear_of_the_first_day_and_of_the_day_after_the_last(cast: factories.Cast) -> None:
    away(cast)
    assert go() == []
    seven = datetime(2027, 4, 16, 6, tzinfo=UTC)
    assert stood_in(go(seven)) == {
        "ana": "From today Col Furrow reads your letters",
        "col": "From today you stand in for Ana Orchard",
    }
    assert go(seven + timedelta(hours=1)) == []
    assert go(seven + 4 * DAY - timedelta(minutes=1)) == []
    assert stood_in(go(seven + 4 * DAY)) == {
        "ana": "Your letters come to you again",
        "col": "You no longer stand in for Ana Orchard",
    }


def test_who_agreed_on_the_first_day_was_told_then(cast: factories.Cast) -> None:
    away(cast, since=TODAY)
    assert go() == []


def test_what_was_ended_before_changes_nothing_over(cast: factories.Cast) -> None:
    away(cast, ended_at=NOW)
    assert go(datetime(2027, 4, 16, 6, tzinfo=UTC)) == []


def test_two_who_stand_in_for_each_other_keep_their_own_letters(cast: factories.Cast) -> None:
    """The services refuse it; should it stand in the book all the same, nothing turns in a ring."""
    for one, other in ((cast.ana, cast.col), (cast.col, cast.ana)):
        factories.make_absence(one, other, since=TODAY, until=TODAY, accepted_at=NOW)
    assert stand_in_for(cast.ana, on=TODAY) is None
    assert stand_in_for(cast.col, on=TODAY) is None


def test_a_chain_ends_where_it_begins(cast: factories.Cast) -> None:
    for one, other in ((cast.ana, cast.ben), (cast.ben, cast.col)):
        factories.make_absence(one, other, since=TODAY, until=TODAY, accepted_at=NOW)
    assert stand_in_for(cast.ana, on=TODAY) is None
    assert stand_in_for(cast.ben, on=TODAY) == cast.col
