"""Invitations: offered by the committee, sent by letter, taken up once."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from allauth.account.models import EmailAddress
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from schedules.invitation_services import invitation_make
from schedules.models import Delivery
from society.invitation_services import InvitationClosed, invitation_accept
from society.invitation_tokens import token_hash, token_of
from society.models import Account, Invitation, JournalEntry, Member
from tests.factories import PASSWORD, Cast, make_account, make_cast, make_member
from tests.letters_out import link_in, send_what_is_due

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
NEW = "three-words-of-barrow-soil"
WIM = "wim@alderlane.example"


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield
    cache.clear()


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE, normals=False)


@pytest.fixture
def wim(cast: Cast) -> Member:
    return make_member(cast.society, "Wim Waits", joined_on=SINCE)


def invite(member: Member, email: str = WIM, now: datetime = NOW) -> Invitation:
    return invitation_make(member=member, email=email, account=None, now=now)


def door(invitation: Invitation) -> str:
    return reverse("invitation", args=[token_of(invitation)])


def take_up(client: Client, url: str, password: str = NEW):
    return client.post(url, {"password1": password, "password2": password})


def test_the_letter_goes_to_the_address_that_was_given(wim):
    invitation = invite(wim, "Wim.Elsewhere@Home.example")

    (letter,) = send_what_is_due(NOW)

    assert letter.to == ["wim.elsewhere@home.example"]
    assert link_in(letter) == door(invitation)


def test_the_database_alone_opens_nothing(wim):
    invitation = invite(wim)
    send_what_is_due(NOW)

    token = token_of(invitation)
    kept = Delivery.objects.get()
    assert invitation.token_hash == token_hash(token)
    assert token not in kept.text + kept.html + str(Invitation.objects.values().get())


def test_a_new_secret_leaves_sent_invitations_open(wim, settings):
    url = door(invite(wim))
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another-secret" * 5

    assert Client().get(url).status_code == 200


def test_a_letter_written_under_a_new_secret_still_opens(wim, settings):
    invitation = invite(wim)
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another-secret" * 5

    (letter,) = send_what_is_due(NOW)

    assert Client().get(link_in(letter)).status_code == 200
    assert link_in(letter) == door(invitation)


def test_looking_changes_nothing(wim):
    url = door(invite(wim))

    Client().get(url)

    assert not Account.objects.filter(email=WIM).exists()
    assert Invitation.objects.get().accepted_at is None


def test_a_password_makes_the_account_and_lets_in(wim):
    client = Client()

    answer = take_up(client, door(invite(wim)))

    account = Account.objects.get(email=WIM)
    assert (answer.status_code, answer.url) == (302, "/")
    assert client.get("/").status_code == 200
    assert list(account.members.all()) == [wim]
    assert EmailAddress.objects.get(user=account).verified


def test_it_is_taken_up_once(wim):
    url = door(invite(wim))
    take_up(Client(), url)

    again = take_up(Client(), url, "another-three-words-here")

    assert again.status_code == 410
    assert "taken up already" in again.content.decode()
    assert Account.objects.get(email=WIM).check_password(NEW)


def test_of_two_at_once_the_second_is_refused(wim):
    invitation = invite(wim)
    accepted = {"invitation": invitation, "account": None, "now": NOW, "today": TODAY}
    invitation_accept(password=NEW, **accepted)

    with pytest.raises(InvitationClosed):
        invitation_accept(password="another-three-words-here", **accepted)


def test_it_runs_out_after_two_weeks(wim):
    url = door(invite(wim))

    with time_machine.travel(NOW + timedelta(days=14), tick=False):
        answer = Client().get(url)

    assert answer.status_code == 410
    assert "Ask your committee for another one" in answer.content.decode()


def test_a_newer_one_takes_the_place_of_the_older(wim):
    older = door(invite(wim))
    newer = door(invite(wim))

    assert Client().get(older).status_code == 410
    assert Client().get(newer).status_code == 200


def test_an_unknown_one_says_what_to_do(cast):
    answer = Client().get(reverse("invitation", args=["never-made"]))

    assert answer.status_code == 404
    assert "Copy the whole of it" in answer.content.decode()


def test_a_weak_password_is_refused_with_the_remedy(wim):
    answer = take_up(Client(), door(invite(wim)), "short")

    assert answer.status_code == 422
    assert "at least 12 characters" in answer.content.decode()
    assert Invitation.objects.get().accepted_at is None


def test_whoever_has_a_log_in_adds_the_member_to_it(cast, wim):
    client = Client()
    client.force_login(cast.ana_account)

    answer = client.post(door(invite(wim)))

    assert answer.status_code == 302
    assert set(cast.ana_account.members.all()) == {cast.ana, wim}


def test_an_address_with_a_log_in_is_sent_to_log_in_first(cast, wim):
    url = door(invite(wim, cast.ana_account.email))

    answer = take_up(Client(), url)

    assert "Log in and come back here" in answer.content.decode()
    assert cast.ana_account.check_password(PASSWORD)
    assert Invitation.objects.get().accepted_at is None


def test_taking_up_is_in_the_journal_without_names(wim):
    take_up(Client(), door(invite(wim)))

    entries = list(JournalEntry.objects.values_list("action", "values"))
    assert {action for action, _ in entries} == {"invitation_made", "invitation_accepted", "account_linked"}
    assert "Wim" not in str(entries)


def test_whoever_left_is_not_invited(wim):
    wim.left_on = TODAY
    wim.save()

    with pytest.raises(ValidationError, match="nobody to invite"):
        invite(wim)


@pytest.mark.parametrize("field", ["left_on", "died_on"])
def test_whoever_left_meanwhile_gets_no_letter(wim, field):
    invite(wim)
    setattr(wim, field, TODAY)
    wim.save()

    assert send_what_is_due(NOW) == []
    assert Delivery.objects.get().state == Delivery.State.MISSED


def test_whoever_left_meanwhile_cannot_take_it_up(wim):
    url = door(invite(wim))
    wim.left_on = TODAY
    wim.save()

    assert take_up(Client(), url).status_code == 410
    assert not Account.objects.filter(email=WIM).exists()


def test_what_is_no_address_is_refused(wim):
    with pytest.raises(ValidationError, match="valid email"):
        invite(wim, "wim at home")


def test_a_member_without_an_address_stays_a_member_and_is_invited_to_anothers(cast):
    old = make_member(cast.society, "Eve Thistle", joined_on=SINCE, email="")
    carer = make_account(cast.col, since=SINCE, email="carer@home.example")
    client = Client()
    client.force_login(carer)

    client.post(door(invite(old, "carer@home.example")))

    assert set(carer.members.all()) == {cast.col, old}


def test_a_member_without_an_address_gets_letters_where_the_invitation_reached_them(cast: Cast) -> None:
    paper = make_member(cast.society, "Wim Waits", joined_on=SINCE, email="")
    invitation_accept(invitation=invite(paper), account=None, password=NEW, now=NOW, today=TODAY)
    paper.refresh_from_db()
    assert paper.email == WIM
