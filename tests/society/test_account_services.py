"""For whom an account acts."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from society.account_services import account_link, account_unlink
from society.models import AccountMember, JournalEntry
from society.selectors import members_acted_for
from tests.factories import Cast, instant, make_cast

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
NOW = instant(TODAY)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE, normals=False)


def link(cast: Cast, since: date = TODAY) -> AccountMember:
    return account_link(account=cast.ana_account, member=cast.ben, since=since, by=cast.dee_account, now=NOW)


def unlink(cast: Cast, until: date) -> AccountMember:
    return account_unlink(
        account=cast.ana_account, member=cast.ben, until=until, by=cast.dee_account, now=NOW
    )


def test_an_account_acts_for_several_members(cast):
    link(cast)

    assert set(members_acted_for(cast.ana_account, on=TODAY)) == {cast.ana, cast.ben}
    assert set(members_acted_for(cast.ana_account, on=TODAY - timedelta(days=1))) == {cast.ana}


def test_linking_twice_is_linking_once(cast):
    link(cast)
    link(cast)

    assert AccountMember.objects.filter(account=cast.ana_account, member=cast.ben).count() == 1
    assert JournalEntry.objects.filter(action="account_linked").count() == 1


def test_an_earlier_day_moves_the_beginning(cast):
    link(cast)

    link(cast, SINCE)

    assert AccountMember.objects.get(account=cast.ana_account, member=cast.ben).since == SINCE


def test_it_ends_on_a_day(cast):
    link(cast, SINCE)

    unlink(cast, TODAY)

    assert set(members_acted_for(cast.ana_account, on=TODAY)) == {cast.ana}


def test_it_may_begin_again_after_it_ended(cast):
    link(cast, SINCE)
    unlink(cast, TODAY)

    link(cast, TODAY)

    assert cast.ben in members_acted_for(cast.ana_account, on=TODAY)


def test_what_never_was_cannot_end(cast):
    with pytest.raises(ValidationError, match="nothing to end"):
        unlink(cast, TODAY)


def test_nobody_is_linked_to_whoever_left(cast):
    cast.ben.left_on = TODAY
    cast.ben.save()

    with pytest.raises(ValidationError, match="has left"):
        link(cast)
