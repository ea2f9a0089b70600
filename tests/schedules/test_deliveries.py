"""Letters on their way: planned once, claimed by one, never lost, doubled only in doubt."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured

from schedules import deliveries, letters
from schedules.models import Delivery, DeliveryStep
from society.models import Absence
from tests import factories
from tests.mail_server import HANG_UP, SILENCE, MailServer, free_port

pytestmark = pytest.mark.django_db

SINCE = date(2020, 1, 1)
FRIDAY = date(2027, 4, 9)
SEVEN_IN_LONDON = factories.instant(FRIDAY, 6)  # British Summer Time
State = Delivery.State


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE)


@pytest.fixture
def due(cast: factories.Cast) -> factories.Cast:
    """The cast with a job this week on plot 7, Ana's, where Ben helps."""
    make_job(cast.bed)
    return cast


def make_job(bed: Any, *, start_on: date = FRIDAY) -> Any:
    sowing = factories.make_sowing(bed, season=2027)
    return factories.make_job(sowing, "necks", start_on=start_on, rule="feel_necks")


def plan(now: datetime = SEVEN_IN_LONDON) -> int:
    return deliveries.deliveries_plan(now=now)


def claim_one(now: datetime = SEVEN_IN_LONDON) -> Delivery:
    (delivery,) = deliveries.deliveries_claim(now=now, limit=1)
    return delivery


def send(delivery: Delivery, now: datetime = SEVEN_IN_LONDON) -> str:
    with deliveries.Post() as post:
        return deliveries.delivery_send(delivery, post=post, now=now)


def states_of(delivery: Delivery) -> list[str]:
    return list(DeliveryStep.objects.filter(delivery=delivery).values_list("state", flat=True))


def anas() -> Delivery:
    return Delivery.objects.get(member__name="Ana Orchard")


def only_ana(cast: factories.Cast) -> Delivery:
    """Plan, and leave only Ana's letter, so that a test can follow one."""
    plan()
    Delivery.objects.exclude(member=cast.ana).delete()
    return anas()


# Planning


def test_everyone_who_works_a_plot_with_a_due_job_gets_one_letter(due: factories.Cast) -> None:
    plan()
    assert set(Delivery.objects.values_list("member__name", flat=True)) == {"Ana Orchard", "Ben Hurdle"}


def test_planning_again_writes_nothing_new(due: factories.Cast) -> None:
    assert [plan(), plan(), plan(SEVEN_IN_LONDON + timedelta(hours=40))] == [2, 0, 0]


def test_every_planned_letter_has_its_first_step(due: factories.Cast) -> None:
    plan()
    assert states_of(anas()) == [State.DUE]


def test_the_message_id_is_the_rows_own(due: factories.Cast, settings: Any) -> None:
    plan()
    assert anas().message_id == f"<{anas().key}@{settings.MAIL_DOMAIN}>"


def test_nothing_is_planned_before_the_hour(due: factories.Cast) -> None:
    assert plan(SEVEN_IN_LONDON - timedelta(seconds=1)) == 0


def test_a_letter_more_than_48_hours_late_is_not_planned(due: factories.Cast) -> None:
    assert plan(SEVEN_IN_LONDON + timedelta(hours=48)) == 0


def test_a_letter_47_hours_late_is_planned_for_its_own_day(due: factories.Cast) -> None:
    plan(SEVEN_IN_LONDON + timedelta(hours=47))
    assert anas().local_date == FRIDAY


def test_no_letter_without_an_address(due: factories.Cast) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(email="")
    plan()
    assert not Delivery.objects.filter(member=due.ana).exists()


def test_no_letter_to_who_does_not_want_it(due: factories.Cast) -> None:
    factories.make_preference(due.ana, weekly=False)
    plan()
    assert not Delivery.objects.filter(member=due.ana).exists()


def test_no_letter_to_who_has_left(due: factories.Cast) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(left_on=FRIDAY)
    plan()
    assert not Delivery.objects.filter(member=due.ana).exists()


def test_a_job_that_begins_after_the_week_is_no_reason_for_a_letter(cast: factories.Cast) -> None:
    make_job(cast.bed, start_on=FRIDAY + timedelta(days=7))
    assert plan() == 0


def test_a_job_on_the_last_day_of_the_week_is(cast: factories.Cast) -> None:
    make_job(cast.bed, start_on=FRIDAY + timedelta(days=6))
    assert plan() == 2


def test_who_wants_a_letter_in_an_empty_week_gets_it(cast: factories.Cast) -> None:
    factories.make_preference(cast.col, weekly_when_empty=True)
    plan()
    assert Delivery.objects.get().member == cast.col


def test_a_chosen_day_and_hour_count(due: factories.Cast) -> None:
    factories.make_preference(due.ana, weekday=0, hour=18)
    plan(factories.instant(date(2027, 4, 12), 17))
    assert anas().due_at == factories.instant(date(2027, 4, 12), 17)


def test_the_hour_is_the_sites_for_a_member_of_one_site(due: factories.Cast) -> None:
    type(due.site).objects.filter(pk=due.site.pk).update(zone="Pacific/Auckland")
    plan()
    assert anas().due_at == factories.instant(date(2027, 4, 8), 19)


def test_the_hour_is_the_societys_for_a_member_of_two_sites(due: factories.Cast) -> None:
    far = factories.make_site(due.society, name="Far Side", zone="Pacific/Auckland")
    plot = factories.make_plot(far, "1", laid_out_on=SINCE)
    factories.make_tenancy(plot, due.ana, since=SINCE)
    plan()
    assert anas().due_at == SEVEN_IN_LONDON


def test_planning_asks_the_database_no_more_for_many_members(
    due: factories.Cast, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    for number in range(30):
        member = factories.make_member(due.society, f"Member{number} Row", joined_on=SINCE)
        factories.make_co_worker(due.plot, member, since=SINCE)
    # members, held, helped, letters known, plots, first jobs, begin, rows, landed, steps, commit
    with django_assert_max_num_queries(11):
        assert plan() == 32


# Claiming


def test_a_second_worker_gets_the_next_letter(due: factories.Cast) -> None:
    plan()
    assert claim_one().pk != claim_one().pk


def test_a_claimed_letter_is_not_claimed_again(due: factories.Cast) -> None:
    plan()
    deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10)
    assert deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10) == []


def test_a_letter_is_not_claimed_before_its_next_try(due: factories.Cast) -> None:
    plan()
    Delivery.objects.update(not_before=SEVEN_IN_LONDON + timedelta(seconds=1))
    assert deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10) == []


def test_a_claim_holds_for_the_lease_and_counts_a_try(due: factories.Cast, settings: Any) -> None:
    plan()
    claimed = claim_one()
    assert claimed.lease_until == SEVEN_IN_LONDON + timedelta(seconds=settings.LEASE_SECONDS)
    assert claimed.attempts == 1


def test_a_lease_not_above_the_mail_timeout_is_refused(settings: Any) -> None:
    settings.LEASE_SECONDS = settings.EMAIL_TIMEOUT
    with pytest.raises(ImproperlyConfigured, match="COMMONROW_LEASE_SECONDS"):
        deliveries.lease()


def test_what_a_run_gives_back_is_due_and_counts_no_try(due: factories.Cast) -> None:
    only_ana(due)
    deliveries.deliveries_release([claim_one()], now=SEVEN_IN_LONDON)
    assert (anas().state, anas().attempts, anas().claim) == (State.DUE, 0, None)


# Sending


def test_a_letter_is_sent_once_and_kept(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    send(claim_one())
    assert mail_server.recipients == ["ana@alderlane.example"]
    assert (anas().state, anas().sent_at) == (State.SENT, SEVEN_IN_LONDON)
    assert anas().text.startswith("Dear Ana Orchard,")


def test_every_move_leaves_a_step(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    send(claim_one())
    assert states_of(anas()) == [State.DUE, State.CLAIMED, State.HANDED_OVER, State.SENT]


def test_the_line_is_kept_over_several_letters(due: factories.Cast, mail_server: MailServer) -> None:
    plan()
    with deliveries.Post() as post:
        for delivery in deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10):
            deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
            kept = post._backend.connection
            assert kept is not None
    assert len(mail_server.arrived) == 2


def test_a_letter_whose_claim_was_lost_is_not_sent(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    slow = claim_one()
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    quick = claim_one(later)
    assert send(slow, later) == State.CLAIMED
    assert mail_server.arrived == []
    assert send(quick, later) == State.SENT


def test_a_crash_before_hand_over_is_made_good(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    claim_one()  # and the worker dies
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    send(claim_one(later), later)
    assert mail_server.message_ids == [anas().message_id]
    assert (anas().state, anas().doubts) == (State.SENT, 0)


def test_a_sweep_leaves_a_lease_that_still_runs(due: factories.Cast) -> None:
    only_ana(due)
    claim_one()
    assert deliveries.deliveries_sweep(now=SEVEN_IN_LONDON + timedelta(seconds=60)) == 0


def test_a_letter_that_five_workers_died_over_is_refused(due: factories.Cast) -> None:
    only_ana(due)
    now = SEVEN_IN_LONDON
    for _ in range(5):
        claim_one(now)
        now += timedelta(hours=1)
        deliveries.deliveries_sweep(now=now)
    assert (anas().state, anas().attempts) == (State.REFUSED, 5)


def dies_after_hand_over(delivery: Delivery, server: MailServer, now: datetime) -> None:
    """What a worker leaves that is killed between the server's taking the letter and its own note of it."""

    class Killed(BaseException):
        pass

    class DeadlyPost(deliveries.Post):
        def send(self, message: Any) -> None:
            super().send(message)
            raise Killed

    with DeadlyPost() as post, pytest.raises(Killed):
        deliveries.delivery_send(delivery, post=post, now=now)


def test_a_crash_after_hand_over_is_sent_once_more_and_marked(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    dies_after_hand_over(claim_one(), mail_server, SEVEN_IN_LONDON)
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    deliveries.deliveries_sweep(now=later)
    send(claim_one(later), later)
    assert mail_server.message_ids == [anas().message_id] * 2
    assert (anas().state, anas().doubts) == (State.SENT, 1)
    assert State.DOUBTFUL in states_of(anas())


def test_what_is_sent_once_more_is_the_same_letter(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    dies_after_hand_over(claim_one(), mail_server, SEVEN_IN_LONDON)
    make_job(due.bed)
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    deliveries.deliveries_sweep(now=later)
    send(claim_one(later), later)
    first, second = mail_server.arrived
    assert first.get_body(("plain",)).get_content() == second.get_body(("plain",)).get_content()  # type: ignore[union-attr]


def test_a_second_doubt_waits_for_the_committee(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    now = SEVEN_IN_LONDON
    for _ in range(2):
        dies_after_hand_over(claim_one(now), mail_server, now)
        now += timedelta(hours=1)
        deliveries.deliveries_sweep(now=now)
        deliveries.deliveries_sweep(now=now)
    assert (anas().state, anas().doubts) == (State.HELD, 2)
    assert deliveries.deliveries_claim(now=now + timedelta(days=1), limit=1) == []


def test_a_late_yes_ends_the_doubt(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    delivery = claim_one()

    class SlowPost(deliveries.Post):
        def send(self, message: Any) -> None:
            super().send(message)
            deliveries.deliveries_sweep(now=SEVEN_IN_LONDON + timedelta(hours=1))

    with SlowPost() as post:
        deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
    assert (anas().state, anas().doubts) == (State.SENT, 1)


@pytest.mark.parametrize("answer", [HANG_UP, SILENCE])
def test_no_clear_answer_after_hand_over_is_a_doubt(
    due: factories.Cast, mail_server: MailServer, settings: Any, answer: str
) -> None:
    settings.EMAIL_TIMEOUT = 1
    only_ana(due)
    mail_server.answers = [answer]
    assert send(claim_one()) == State.DOUBTFUL
    assert (len(mail_server.arrived), anas().doubts) == (1, 1)


def test_a_clear_refusal_for_now_is_tried_again_after_a_pause(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    mail_server.answers = ["450 4.2.0 mailbox busy"]
    assert send(claim_one()) == State.DUE
    pause = anas().not_before - SEVEN_IN_LONDON
    assert timedelta(minutes=1.6) <= pause <= timedelta(minutes=2.4)
    assert anas().last_error == "450 4.2.0 mailbox busy"


def test_pauses_grow_and_the_fifth_refusal_is_the_last(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    now, minutes = SEVEN_IN_LONDON, []
    mail_server.answers = ["450 4.2.0 mailbox busy"] * 5
    while send(claim_one(now), now) == State.DUE:
        minutes.append(round((anas().not_before - now) / timedelta(minutes=1)))
        now = anas().not_before
    assert all(
        0.8 * middle - 1 <= pause <= 1.2 * middle + 1
        for pause, middle in zip(minutes, (2, 10, 30, 120), strict=True)
    )
    assert anas().state == State.REFUSED


@pytest.mark.parametrize("where", ["answers", "recipient_answers"])
def test_a_refusal_for_good_is_not_tried_again(
    due: factories.Cast, mail_server: MailServer, where: str
) -> None:
    only_ana(due)
    setattr(mail_server, where, ["550 5.1.1 no such mailbox"])
    assert send(claim_one()) == State.REFUSED
    assert anas().last_error == "550 5.1.1 no such mailbox"
    assert deliveries.deliveries_claim(now=SEVEN_IN_LONDON + timedelta(days=1), limit=1) == []


def test_a_refused_recipient_for_now_is_tried_again(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    mail_server.recipient_answers = ["451 4.7.1 greylisted"]
    assert send(claim_one()) == State.DUE


def test_a_server_that_cannot_be_reached_is_no_doubt(
    due: factories.Cast, mail_server: MailServer, settings: Any
) -> None:
    only_ana(due)
    settings.EMAIL_PORT = free_port()
    assert send(claim_one()) == State.DUE
    assert states_of(anas()) == [State.DUE, State.CLAIMED, State.DUE]


def test_a_line_that_fell_between_two_letters_is_opened_again(
    due: factories.Cast, mail_server: MailServer
) -> None:
    plan()
    first, second = deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=2)
    with deliveries.Post() as post:
        deliveries.delivery_send(first, post=post, now=SEVEN_IN_LONDON)
        post._backend.connection.sock.close()
        assert deliveries.delivery_send(second, post=post, now=SEVEN_IN_LONDON) == State.SENT


def test_a_letter_that_cannot_be_written_does_not_stop_the_others(
    due: factories.Cast, mail_server: MailServer
) -> None:
    make_poison = factories.make_sowing(due.other_bed, season=2027)
    factories.make_job(make_poison, "necks", start_on=FRIDAY, rule="a rule that nobody knows")
    plan()
    with deliveries.Post() as post:
        for delivery in deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10):
            deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
    states = dict(Delivery.objects.values_list("member__name", "state"))
    assert states == {"Ana Orchard": State.SENT, "Ben Hurdle": State.SENT, "Col Furrow": State.REFUSED}
    assert "a rule that nobody knows" in Delivery.objects.get(member=due.col).last_error


def test_an_address_that_cannot_be_written_is_refused_before_hand_over(
    due: factories.Cast, mail_server: MailServer
) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(
        email="ana@alderlane.example\nBcc: x@alderlane.example"
    )
    only_ana(due)
    assert send(claim_one()) == State.REFUSED
    assert State.HANDED_OVER not in states_of(anas())


# The last look


def nothing_goes(cast: factories.Cast, server: MailServer, now: datetime = SEVEN_IN_LONDON) -> str:
    assert send(claim_one(now), now) == State.MISSED
    assert server.arrived == []
    return anas().last_error


def test_who_left_since_planning_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    type(due.ana).objects.filter(pk=due.ana.pk).update(left_on=FRIDAY)
    assert "has left" in nothing_goes(due, mail_server)


def test_who_died_since_planning_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    type(due.ana).objects.filter(pk=due.ana.pk).update(died_on=FRIDAY)
    assert "has left" in nothing_goes(due, mail_server)


def test_who_no_longer_wants_letters_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    factories.make_preference(due.ana, weekly=False)
    assert "no longer wants" in nothing_goes(due, mail_server)


def test_who_gave_the_plot_up_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    due.plot.tenancies.update(until=FRIDAY)
    assert "no plot" in nothing_goes(due, mail_server)


def test_a_job_done_since_planning_is_no_reason_for_a_letter(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    due.bed.patches.get().sowings.get().jobs.update(state="done", done_on=FRIDAY)
    assert "nothing is due" in nothing_goes(due, mail_server)


def test_a_letter_more_than_48_hours_late_is_missed(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    assert "48 hours" in nothing_goes(due, mail_server, SEVEN_IN_LONDON + timedelta(hours=49))


def test_while_a_member_is_away_the_stand_in_gets_the_letter(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    away(due, accepted_at=factories.instant(SINCE))
    send(claim_one())
    assert mail_server.recipients == ["col@alderlane.example"]
    assert str(mail_server.arrived[0]["Subject"]).startswith("For Ana Orchard: ")


def test_a_stand_in_who_has_not_accepted_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    away(due)
    send(claim_one())
    assert mail_server.recipients == ["ana@alderlane.example"]


def away(cast: factories.Cast, **fields: Any) -> Absence:
    return Absence.objects.create(
        member=cast.ana, stand_in=cast.col, since=FRIDAY, until=FRIDAY + timedelta(days=9), **fields
    )


def test_a_kind_of_letter_that_nobody_writes_is_refused(due: factories.Cast, mail_server: MailServer) -> None:
    factories.make_delivery(due.ana, local_date=FRIDAY, kind="notice", due_at=SEVEN_IN_LONDON)
    assert send(claim_one()) == State.REFUSED


def test_letters_go_out_with_the_titles_that_the_page_shows(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    send(claim_one())
    written = letters.weekly_letter(member=due.ana, reader=due.ana, today=FRIDAY)
    assert str(mail_server.arrived[0]["Subject"]) == written.title
