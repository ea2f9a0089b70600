"""Quiet hours by the member's own clock, also in the nights when it changes; and whose clock that is."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.letter_quiet import after_quiet
from schedules.letter_wishes import ground_of, wishes_of
from schedules.letters import language_of
from schedules.models import Delivery
from society.models import LetterPreference, Member
from tests import factories
from tests.schedules.deliveries.steps import FRIDAY, SINCE, make_job, plan

LONDON = ZoneInfo("Europe/London")
BEGINS, MINUTES_OF_THREE_YEARS = datetime(2026, 1, 1, tzinfo=UTC), 3 * 365 * 24 * 60


def quiet(begins: int, ends: int) -> LetterPreference:
    return LetterPreference(quiet_from=begins, quiet_until=ends)


@pytest.mark.parametrize(
    ("clock", "begins", "ends", "waits_until"),
    [
        ("2027-04-15 20:59", 21, 7, "2027-04-15 20:59"),
        ("2027-04-15 21:00", 21, 7, "2027-04-16 07:00"),
        ("2027-04-16 06:59", 21, 7, "2027-04-16 07:00"),
        ("2027-04-16 07:00", 21, 7, "2027-04-16 07:00"),
        ("2027-04-16 13:30", 12, 14, "2027-04-16 14:00"),
        ("2027-04-16 14:30", 12, 14, "2027-04-16 14:30"),
        ("2027-04-16 03:00", 0, 0, "2027-04-16 03:00"),
        ("2027-03-27 23:00", 22, 1, "2027-03-28 02:00"),  # one o'clock is skipped that night
        ("2027-10-30 23:00", 22, 1, "2027-10-31 01:00"),  # and comes twice on this one: the first counts
    ],
)
def test_what_comes_up_in_quiet_hours_waits_for_their_end(
    clock: str, begins: int, ends: int, waits_until: str
) -> None:
    came, waits = (datetime.fromisoformat(each).replace(tzinfo=LONDON) for each in (clock, waits_until))
    assert after_quiet(came.astimezone(UTC), quiet(begins, ends), LONDON) == waits.astimezone(UTC)


@given(
    came=st.integers(0, MINUTES_OF_THREE_YEARS).map(lambda minutes: BEGINS + timedelta(minutes=minutes)),
    begins=st.integers(0, 23),
    ends=st.integers(0, 23),
    name=st.sampled_from(["Europe/London", "Australia/Lord_Howe", "America/St_Johns", "Pacific/Apia"]),
)
def test_nothing_waits_a_day_and_nothing_goes_back(came: datetime, begins: int, ends: int, name: str) -> None:
    waits = after_quiet(came, quiet(begins, ends), ZoneInfo(name))
    assert came <= waits <= came + timedelta(hours=25)
    assert after_quiet(waits, quiet(begins, ends), ZoneInfo(name)) == waits


@pytest.mark.django_db
def test_a_member_with_a_clock_of_their_own_is_written_to_by_it() -> None:
    cast = factories.make_cast(since=SINCE)
    make_job(cast.bed)
    factories.make_preference(cast.ana, zone="Pacific/Auckland")
    seven_in_auckland = datetime(2027, 4, 8, 19, tzinfo=UTC)  # Friday there, Thursday in London
    assert plan(seven_in_auckland - timedelta(seconds=1)) == 0
    assert plan(seven_in_auckland) == 1
    row = Delivery.objects.get()
    assert (row.member, row.local_date) == (cast.ana, FRIDAY)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("own", "sites", "clock"),
    [
        ("", ["Australia/Melbourne"], "Australia/Melbourne"),
        ("", ["Australia/Melbourne", "America/Denver"], "Europe/London"),
        ("", [], "Europe/London"),
        ("Asia/Tokyo", ["Australia/Melbourne"], "Asia/Tokyo"),
    ],
)
def test_hours_go_by_the_members_clock_the_sites_or_the_societys(
    own: str, sites: list[str], clock: str
) -> None:
    society = factories.make_society()
    member = factories.make_member(society, "Ana Orchard", joined_on=SINCE)
    factories.make_preference(member, zone=own)
    for number, name in enumerate(sites):
        site = factories.make_site(society, name=f"Site {number}", zone=name)
        plot = factories.make_plot(site, "1", laid_out_on=SINCE)
        factories.make_tenancy(plot, member, since=SINCE)
    fresh = Member.objects.get(pk=member.pk)
    assert wishes_of(fresh).zone == own
    assert ground_of([fresh], on=date(2027, 4, 9))[fresh.pk].zone(fresh).key == clock


def test_who_reads_a_language_that_is_not_written_gets_the_first() -> None:
    assert language_of(Member(language="de")) == "en-gb"
    assert language_of(Member(language="en-gb")) == "en-gb"
