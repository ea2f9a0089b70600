"""The rules themselves, on plain facts."""

from datetime import date

import pytest

from society import permissions
from society.permissions import asker_of
from tests.factories import Cast, make_account, make_cast, make_member, make_seat

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE, normals=False)


def test_who_works_a_plot_sees_it(cast):
    ana = asker_of(cast.ana_account, on=TODAY)

    assert permissions.can_see_plot(ana, worked_by={cast.ana.pk, cast.ben.pk})
    assert not permissions.can_see_plot(ana, worked_by={cast.col.pk})


def test_who_works_a_site_and_the_committee_see_how_its_ground_rests(cast):
    ana, dee = (asker_of(account, on=TODAY) for account in (cast.ana_account, cast.dee_account))

    assert permissions.can_see_site_ground(ana, works_there=True)
    assert permissions.can_see_site_ground(dee, works_there=False)
    assert not permissions.can_see_site_ground(ana, works_there=False)


def test_the_committee_sees_every_plot_and_every_letter(cast):
    dee = asker_of(cast.dee_account, on=TODAY)

    assert permissions.can_see_plot(dee, worked_by=set())
    assert permissions.can_see_letter(dee, member_id=cast.ana.pk)
    assert permissions.can_see_all_letters(dee)


def test_a_seat_that_ended_opens_nothing(cast):
    member = make_member(cast.society, "Old Hand", joined_on=SINCE)
    make_seat(member, since=SINCE, until=TODAY)

    assert not asker_of(make_account(member, since=SINCE), on=TODAY).on_committee


def test_a_letter_is_its_members_alone(cast):
    ben = asker_of(cast.ben_account, on=TODAY)

    assert permissions.can_see_letter(ben, member_id=cast.ben.pk)
    assert not permissions.can_see_letter(ben, member_id=cast.ana.pk)


def test_who_left_acts_for_nobody(cast):
    cast.ana.left_on = TODAY
    cast.ana.save()

    assert asker_of(cast.ana_account, on=TODAY).member_ids == frozenset()


def test_an_administrator_is_not_the_committee(cast):
    account = make_account(
        make_member(cast.society, "Kit Cable", joined_on=SINCE), since=SINCE, is_administrator=True
    )

    assert not permissions.can_see_all_letters(asker_of(account, on=TODAY))
