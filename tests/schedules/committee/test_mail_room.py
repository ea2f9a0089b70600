"""The mail room: how letters stand, stopping them, a test letter, addresses that are no good."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from schedules import deliveries
from schedules.deliveries.holding import letters_hold_older, mail_room
from schedules.mail_records import mail_records
from schedules.models import Delivery
from society.models import JournalEntry, Member
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, TODAY, said


def sent_out(now=NOW):
    """Everything that is due goes out, as the sweep does it."""
    while claimed := deliveries.deliveries_claim(now=now, limit=1):
        with deliveries.Post() as post:
            deliveries.delivery_send(claimed[0], post=post, now=now)


def test_it_counts_the_letters_of_thirty_days_by_what_became_of_them(cast, look):
    for days, state in [(0, "due"), (1, "refused"), (2, "refused"), (31, "missed")]:
        day = TODAY - timedelta(days=days)
        factories.make_delivery(cast.ana, local_date=day, state=state, subject_key=f"{days}")
    page = look("committee-mail-room")
    assert '<a href="/letters/?state=refused">refused</a></th><td>2</td>' in page
    assert "too late to send" not in page
    assert "The oldest that waits to be sent fell due on 12 April 2027" in page


def test_stopping_keeps_every_letter_in_the_house_until_they_go_on(cast, send, look, mail_server):
    factories.make_job(factories.make_sowing(cast.bed, season=2027), start_on=TODAY)
    factories.make_delivery(cast.ana, local_date=TODAY)
    send("committee-mail-room-stop", why="the wrong dates were told")
    sent_out()
    assert mail_server.arrived == []
    page = look("committee-mail-room")
    assert "No letter leaves the house" in page
    assert "the wrong dates were told" in page

    send("committee-mail-room-go-on")
    sent_out()
    assert len(mail_server.arrived) == 1
    assert list(JournalEntry.objects.order_by("pk").values_list("action", flat=True)) == [
        "letters.closed",
        "letters.opened",
    ]


def test_stopping_without_a_reason_is_refused_at_its_field(cast, dee):
    answer = dee.post(reverse("committee-mail-room-stop"), {"why": " "})
    assert answer.status_code == 422
    assert "Say why" in answer.content.decode()
    assert mail_room().closed_at is None


def test_what_waits_after_a_backup_was_put_back_is_let_go_from_here(cast, send, look):
    factories.make_delivery(cast.ana, local_date=TODAY)
    letters_hold_older(before=NOW, account=None, now=NOW)
    assert "one letter waits" in look("committee-mail-room")
    answer = send("committee-mail-room-release")
    assert said(answer) == ["Let go: one letter is due again. What is more than two days late is not sent."]
    assert Delivery.objects.get().state == "due"


def test_a_test_letter_goes_through_the_real_line_and_says_what_became_of_it(cast, send, look, mail_server):
    answer = send("committee-mail-room-test", address="gate@withylane.example")
    assert said(answer) == ["The test letter goes out within minutes."]
    sent_out()
    (letter,) = mail_server.arrived
    assert mail_server.recipients == ["gate@withylane.example"]
    assert letter["Subject"].startswith("Test letter from")
    page = look("committee-mail-room")
    assert "to gate@withylane.example" in page
    assert 'state-sent">sent' in page


def test_a_wrong_address_is_refused_at_its_field(cast, dee):
    answer = dee.post(reverse("committee-mail-room-test"), {"address": "gate at withylane"})
    assert answer.status_code == 422
    assert "This is not an e-mail address" in answer.content.decode()
    assert not Delivery.objects.exists()


def test_nobody_fills_a_mailbox_with_test_letters(cast, dee):
    for _ in range(20):
        dee.post(reverse("committee-mail-room-test"), {"address": "gate@withylane.example"})
    answer = dee.post(reverse("committee-mail-room-test"), {"address": "gate@withylane.example"})
    assert answer.status_code == 422
    assert "20 test letters were asked for today already" in answer.content.decode()
    assert Delivery.objects.count() == 20


def test_an_administrator_without_a_member_is_told_why_there_is_no_test_letter(cast):
    kit = factories.make_member(cast.society, "Kit Cable", joined_on=SINCE)
    account = factories.make_account(kit, since=SINCE, is_administrator=True)
    account.acts_for.all().delete()
    client = Client()
    client.force_login(account)
    answer = client.post(reverse("committee-mail-room-test"), {"address": "gate@withylane.example"})
    assert answer.status_code == 422
    assert "acts for no member" in answer.content.decode()


def test_a_letter_that_came_back_stops_the_letters_until_the_address_is_trusted(cast, send, look):
    send("committee-address-bounced", cast.ana.pk, why="mailbox full since March")
    assert Member.objects.get(pk=cast.ana.pk).email_refused_at == NOW
    for page in (look("committee-mail-room"), look("committee-grower", cast.ana.pk)):
        assert "mailbox full since March" in page

    send("committee-address-trust", cast.ana.pk)
    assert Member.objects.get(pk=cast.ana.pk).email_refused_at is None
    assert "None. Where letters" in look("committee-mail-room")


def test_a_member_without_an_address_has_none_to_bounce(cast, dee):
    cast.ana.email = ""
    cast.ana.save()
    assert dee.get(reverse("committee-address-bounced", args=[cast.ana.pk])).status_code == 404


@pytest.mark.parametrize("sender", ["letters@plots.example", "Withy Lane <letters@plots.example>"])
def test_the_records_are_those_of_the_sender_s_domain(sender):
    """Names and forms: RFC 7208 section 3, RFC 6376 section 3.6.1, RFC 7489 section 6.3."""
    spf, dkim, dmarc = mail_records(sender=sender, host="post.plots.example")
    assert (spf.name, spf.text) == ("plots.example", "v=spf1 a:post.plots.example ~all")
    assert dkim.name == "SELECTOR._domainkey.plots.example"
    assert dkim.text.startswith("v=DKIM1; ")
    assert dmarc.name == "_dmarc.plots.example"
    assert dmarc.text == "v=DMARC1; p=none; rua=mailto:letters@plots.example"


@pytest.mark.parametrize(
    ("host", "sends"),
    [
        ("localhost", "a:mail.plots.example"),
        ("127.0.0.1", "a:mail.plots.example"),
        ("postfix", "a:mail.plots.example"),
        ("", "a:mail.plots.example"),
        ("8.8.4.4", "ip4:8.8.4.4"),
        ("2620:fe::9", "ip6:2620:fe::9"),
    ],
)
def test_the_sender_s_record_names_only_what_the_world_can_see(host, sends):
    """RFC 7208, sections 5.3 and 5.6: 'a' takes a domain name, addresses have mechanisms of their own."""
    spf, _, _ = mail_records(sender="letters@plots.example", host=host)
    assert spf.text == f"v=spf1 {sends} ~all"


def test_fifty_refused_addresses_cost_no_more_questions_than_one(cast, dee, django_assert_num_queries):
    def look(count):
        with django_assert_num_queries(count):
            dee.get(reverse("committee-mail-room"))

    Member.objects.filter(pk=cast.ana.pk).update(email_refusals=1)
    look(12)
    for number in range(50):
        factories.make_member(cast.society, f"Member {number}", joined_on=SINCE, email_refusals=1)
    look(12)
