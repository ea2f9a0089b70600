"""The page on which members say which letters they want."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from society.models import AccountMember, JournalEntry, LetterPreference, Member
from tests.factories import Cast, make_cast, make_member

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SINCE = date(2020, 1, 1)
PAGE = "/letters/wanted/"


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE, normals=False)


@pytest.fixture
def ana(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.ana_account)
    return client


def wishes(member: Member, **fields: str) -> dict[str, str]:
    written = {
        "weekly": "on", "weekday": "0", "hour": "18", "quiet_from": "22", "quiet_until": "6",
        "units": "imperial", **fields,
    }  # fmt: skip
    return {"member": str(member.pk)} | {f"member-{member.pk}-{name}": said for name, said in written.items()}


def test_the_page_has_its_address():
    assert reverse("letters-wanted") == PAGE


def test_wishes_are_kept(cast, ana):
    answer = ana.post(PAGE, wishes(cast.ana))

    kept = LetterPreference.objects.get(member=cast.ana)
    cast.ana.refresh_from_db()
    assert answer.status_code == 302
    assert (kept.weekly, kept.weekday, kept.hour) == (True, 0, 18)
    assert (kept.weekly_when_empty, kept.day_notes) == (False, False)
    assert (kept.quiet_from, kept.quiet_until, kept.zone, kept.notices) == (22, 6, "", False)
    assert cast.ana.units == "imperial"


def test_a_clock_of_ones_own_is_kept(cast, ana):
    ana.post(PAGE, wishes(cast.ana, zone="Pacific/Auckland"))

    assert LetterPreference.objects.get().zone == "Pacific/Auckland"


def test_the_committees_letter_is_asked_about_only_where_one_sits_on_it(cast, ana):
    dee = Client()
    dee.force_login(cast.dee_account)

    assert "The committee’s own letter" not in ana.get(PAGE).content.decode()
    assert "The committee’s own letter" in dee.get(PAGE).content.decode()
    dee.post(PAGE, wishes(cast.dee))
    assert not LetterPreference.objects.get(member=cast.dee).digest


def test_who_is_not_asked_about_a_letter_keeps_that_wish(cast, ana):
    ana.post(PAGE, wishes(cast.ana, digest=""))

    assert LetterPreference.objects.get().digest


def test_what_was_kept_is_shown_again(cast, ana):
    ana.post(PAGE, wishes(cast.ana))

    page = ana.get(PAGE).content.decode()

    assert '<option value="18" selected>18:00</option>' in page
    assert '<option value="imperial" selected>' in page


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("weekday", "7"),
        ("hour", "24"),
        ("units", "ells"),
        ("hour", ""),
        ("quiet_from", "24"),
        ("zone", "Nowhere/At all"),
    ],
)
def test_what_is_not_offered_is_refused_and_nothing_kept(cast, ana, field, said):
    answer = ana.post(PAGE, wishes(cast.ana, **{field: said}))

    assert answer.status_code == 422
    assert "field-fault" in answer.content.decode()
    assert not LetterPreference.objects.exists()


def test_a_strangers_wishes_are_not_there(cast, ana):
    assert ana.post(PAGE, wishes(cast.col)).status_code == 404
    assert not LetterPreference.objects.exists()


def test_each_member_acted_for_has_wishes_of_their_own(cast, ana):
    AccountMember.objects.create(account=cast.ana_account, member=cast.ben, since=SINCE)

    ana.post(PAGE, wishes(cast.ben))

    assert list(LetterPreference.objects.values_list("member", flat=True)) == [cast.ben.pk]


def test_a_change_is_in_the_journal(cast, ana):
    ana.post(PAGE, wishes(cast.ana))

    entry = JournalEntry.objects.get(action="letters_wanted")
    assert (entry.subject_id, entry.values["hour"]) == (str(cast.ana.pk), 18)


def test_the_page_takes_no_more_queries_for_more_members(cast, ana, django_assert_num_queries):
    # session, account; members acted for, seat; wishes, seats; the society twice (zone, head of the page)
    with django_assert_num_queries(8):
        ana.get(PAGE)
    for name in ("Bea Bine", "Cy Cress", "Dot Dock"):
        more = make_member(cast.society, name, joined_on=SINCE)
        AccountMember.objects.create(account=cast.ana_account, member=more, since=SINCE)

    with django_assert_num_queries(8):
        ana.get(PAGE)
