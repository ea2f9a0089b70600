"""Being away, and who stands in."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core.exceptions import ValidationError

from schedules.absence_services import (
    AbsenceSettled,
    absence_accept,
    absence_ask,
    absence_decline,
    absence_end,
)
from schedules.models import Delivery
from society.absence_selectors import stand_in_for, who_may_stand_in
from society.address_services import address_clear, address_mark_refused
from society.models import Absence, JournalEntry, Member
from tests.factories import Cast, make_account, make_cast, make_member
from tests.letters_out import send_what_is_due

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
FROM, UNTIL = date(2027, 5, 3), date(2027, 5, 17)
TOLD = {"account": None, "now": NOW, "today": TODAY}


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE, normals=False)


def ask(member: Member, stand_in: Member, since: date = FROM, until: date = UNTIL) -> Absence:
    return absence_ask(member=member, stand_in=stand_in, since=since, until=until, **TOLD)


def agreed(member: Member, stand_in: Member, since: date = FROM, until: date = UNTIL) -> Absence:
    return absence_accept(absence=ask(member, stand_in, since, until), **TOLD)


def subjects() -> list[str]:
    return [f"{letter.to[0].partition('@')[0]}: {letter.subject}" for letter in send_what_is_due(NOW)]


def test_nothing_goes_elsewhere_before_it_is_accepted(cast):
    ask(cast.ana, cast.col)

    assert stand_in_for(cast.ana, on=FROM) is None


def test_whoever_accepted_gets_the_letters_on_those_days_only(cast):
    agreed(cast.ana, cast.col)

    days = [FROM - timedelta(days=1), FROM, UNTIL, UNTIL + timedelta(days=1)]
    assert [stand_in_for(cast.ana, on=day) for day in days] == [None, cast.col, cast.col, None]


def test_declined_is_declined(cast):
    absence_decline(absence=ask(cast.ana, cast.col), **TOLD)

    assert stand_in_for(cast.ana, on=FROM) is None


def test_it_can_end_early(cast):
    absence = agreed(cast.ana, cast.col)

    absence_end(absence=absence, **TOLD)

    assert stand_in_for(cast.ana, on=FROM) is None


def test_an_answer_counts_once(cast):
    absence = ask(cast.ana, cast.col)
    absence_decline(absence=absence, **TOLD)

    with pytest.raises(AbsenceSettled):
        absence_accept(absence=absence, **TOLD)


def test_what_is_over_is_not_answered(cast):
    absence = ask(cast.ana, cast.col)

    with pytest.raises(AbsenceSettled):
        absence_accept(absence=absence, account=None, now=NOW, today=UNTIL + timedelta(days=1))


def test_two_cannot_stand_in_for_each_other(cast):
    agreed(cast.ana, cast.col)

    with pytest.raises(ValidationError) as fault:
        ask(cast.col, cast.ana, UNTIL, UNTIL + timedelta(days=7))

    assert set(fault.value.message_dict) == {"stand_in"}


def test_two_can_stand_in_for_each_other_on_different_days(cast):
    agreed(cast.ana, cast.col)

    later = agreed(cast.col, cast.ana, UNTIL + timedelta(days=1), UNTIL + timedelta(days=7))

    assert later.accepted_at == NOW


def test_two_questions_at_once_do_not_make_a_loop(cast):
    first = ask(cast.ana, cast.col)
    # What a page sent at the same moment would have written before the first was there.
    second = Absence.objects.create(member=cast.col, stand_in=cast.ana, since=FROM, until=UNTIL)

    for absence in (first, second):
        with pytest.raises(ValidationError):
            absence_accept(absence=absence, **TOLD)


def test_whoever_stands_in_cannot_go_away_on_those_days(cast):
    agreed(cast.ana, cast.col)

    with pytest.raises(ValidationError) as fault:
        ask(cast.col, cast.ben)

    assert "stands in for Ana Orchard" in fault.value.message_dict["since"][0]


def test_the_asker_is_not_told_where_the_other_is(cast):
    ask(cast.col, cast.dee)

    with pytest.raises(ValidationError) as fault:
        ask(cast.ana, cast.col)

    assert fault.value.message_dict["stand_in"] == [
        "Col Furrow cannot on these days. Ask somebody else, or change them."
    ]


@pytest.mark.parametrize(
    ("since", "until", "field", "words"),
    [
        (date(2027, 4, 11), UNTIL, "since", "is past"),
        (FROM, date(2027, 5, 2), "until", "before the first"),
        (FROM, date(2029, 5, 2), "until", "longer than a year"),
    ],
)
def test_days_that_cannot_be_name_the_field_and_the_remedy(cast, since, until, field, words):
    with pytest.raises(ValidationError) as fault:
        ask(cast.ana, cast.col, since, until)

    assert words in fault.value.message_dict[field][0]
    assert not Absence.objects.exists()


def test_nobody_is_away_twice_at_once(cast):
    ask(cast.ana, cast.col)

    with pytest.raises(ValidationError, match="an absence from 3 May 2027 to 17 May 2027 already"):
        ask(cast.ana, cast.ben)


def test_nobody_stands_in_for_themselves(cast):
    with pytest.raises(ValidationError, match="Nobody stands in for themselves"):
        ask(cast.ana, cast.ana)


def test_a_stand_in_who_left_gets_nothing(cast):
    agreed(cast.ana, cast.col)
    cast.col.left_on = TODAY
    cast.col.save()

    assert stand_in_for(cast.ana, on=FROM) is None


def test_letters_stay_while_mail_servers_refuse_the_stand_in(cast):
    agreed(cast.ana, cast.col)
    address_mark_refused(member=cast.col, why="550 5.1.1 no such mailbox", account=None, now=NOW)
    assert stand_in_for(cast.ana, on=FROM) is None

    address_clear(member=cast.col, account=None, now=NOW)
    assert stand_in_for(cast.ana, on=FROM) == cast.col


def test_the_question_goes_to_the_stand_in(cast):
    ask(cast.ana, cast.col)

    assert subjects() == ["col: Ana Orchard asks you to stand in"]


def test_of_a_yes_both_hear(cast):
    absence = ask(cast.ana, cast.col)
    subjects()

    absence_accept(absence=absence, **TOLD)

    assert sorted(subjects()) == ["ana: Col Furrow stands in for you", "col: You stand in for Ana Orchard"]


def test_of_a_no_the_member_hears(cast):
    absence = ask(cast.ana, cast.col)
    subjects()

    absence_decline(absence=absence, **TOLD)

    assert subjects() == ["ana: Col Furrow cannot stand in for you"]


def test_of_an_end_both_hear(cast):
    absence = agreed(cast.ana, cast.col)
    subjects()

    absence_end(absence=absence, **TOLD)

    assert sorted(subjects()) == [
        "ana: Your letters come to you again",
        "col: You need not stand in for Ana Orchard",
    ]


def test_a_question_that_was_taken_back_is_not_sent(cast):
    absence_end(absence=ask(cast.ana, cast.col), **TOLD)

    sent = subjects()

    assert "col: Ana Orchard asks you to stand in" not in sent
    assert Delivery.objects.get(subject_key__endswith="asked").state == Delivery.State.MISSED


def test_letters_on_paper_go_to_nobody_else(cast):
    cast.ana.email = ""
    cast.ana.save()

    with pytest.raises(ValidationError, match="come on paper"):
        ask(cast.ana, cast.col)


def test_every_step_is_in_the_journal(cast):
    absence_end(absence=agreed(cast.ana, cast.col), **TOLD)

    actions = JournalEntry.objects.order_by("pk").values_list("action", flat=True)
    assert list(actions) == ["absence_asked", "absence_accepted", "absence_ended"]


@pytest.mark.parametrize("written", ["Col Furrow", " col furrow ", "COL@alderlane.example"])
def test_a_stand_in_is_found_by_the_whole_name_or_the_address(cast, written):
    assert who_may_stand_in(written, on=TODAY) == [cast.col]


@pytest.mark.parametrize("written", ["Col", "Furrow", "%", "", "nobody@alderlane.example"])
def test_part_of_a_name_finds_nobody(cast, written):
    assert who_may_stand_in(written, on=TODAY) == []


def test_who_has_no_account_to_answer_with_is_not_found(cast):
    make_member(cast.society, "Eve Thistle", joined_on=SINCE)

    assert who_may_stand_in("Eve Thistle", on=TODAY) == []


def test_a_shared_account_answers_for_both(cast):
    eve = make_member(cast.society, "Eve Thistle", joined_on=SINCE)
    make_account(eve, cast.ben, since=SINCE, email="home@alderlane.example")

    assert who_may_stand_in("Eve Thistle", on=TODAY) == [eve]
