"""The page about being away."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.test import Client

from society.models import Absence, AccountMember
from tests.factories import Cast, make_absence, make_cast

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SINCE = date(2020, 1, 1)
FROM, UNTIL = date(2027, 5, 3), date(2027, 5, 17)
PAGE = "/away/"


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE, normals=False)


def client_of(account) -> Client:
    client = Client()
    client.force_login(account)
    return client


def question(member, **fields: str) -> dict[str, str]:
    written = {"since": "2027-05-03", "until": "2027-05-17", "stand_in": "Col Furrow", **fields}
    return {"member": str(member.pk)} | {f"member-{member.pk}-{name}": said for name, said in written.items()}


def test_a_member_asks_and_sees_that_there_is_no_answer_yet(cast):
    ana = client_of(cast.ana_account)

    answer = ana.post(PAGE, question(cast.ana), follow=True)

    page = answer.content.decode()
    assert "Col Furrow is asked by letter." in page
    assert "has not answered yet" in page


def test_the_stand_in_agrees(cast):
    absence = make_absence(cast.ana, cast.col, since=FROM, until=UNTIL)
    col = client_of(cast.col_account)

    assert "Ana Orchard asks you" in col.get(PAGE).content.decode()
    col.post(f"/away/{absence.pk}/accept/")

    assert Absence.objects.get().accepted_at == NOW
    assert "You stand in" in col.get(PAGE).content.decode()


def test_the_stand_in_declines_and_the_member_reads_it(cast):
    absence = make_absence(cast.ana, cast.col, since=FROM, until=UNTIL)

    client_of(cast.col_account).post(f"/away/{absence.pk}/decline/")

    assert "<strong>declined</strong>" in client_of(cast.ana_account).get(PAGE).content.decode()


@pytest.mark.parametrize("side", ["ana", "col"])
def test_either_side_ends_it(cast, side):
    absence = make_absence(cast.ana, cast.col, since=FROM, until=UNTIL, accepted_at=NOW)

    client_of(getattr(cast, f"{side}_account")).post(f"/away/{absence.pk}/end/")

    assert Absence.objects.get().ended_at == NOW


def test_nobody_answers_for_somebody_else(cast):
    absence = make_absence(cast.ana, cast.col, since=FROM, until=UNTIL)

    assert client_of(cast.ana_account).post(f"/away/{absence.pk}/accept/").status_code == 404
    assert client_of(cast.ben_account).post(f"/away/{absence.pk}/end/").status_code == 404


def test_an_answer_that_came_too_late_says_so(cast):
    absence = make_absence(cast.ana, cast.col, since=FROM, until=UNTIL, ended_at=NOW)

    answer = client_of(cast.col_account).post(f"/away/{absence.pk}/accept/", follow=True)

    assert "settled meanwhile" in answer.content.decode()
    assert Absence.objects.get().accepted_at is None


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"since": "soon"}, "First day away: no date. Write year, month and day, like 2027-04-12."),
        ({"until": ""}, "Last day away: write the day, like 2027-04-12."),
        ({"until": "2027-05-01"}, "The last day lies before the first."),
        ({"stand_in": "Nobody Real"}, "Nobody of that name can be asked"),
        ({"stand_in": ""}, "Write who should stand in"),
    ],
)
def test_a_bad_question_names_the_field_and_the_remedy(cast, fields, words):
    answer = client_of(cast.ana_account).post(PAGE, question(cast.ana, **fields))

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Absence.objects.exists()


def test_nobody_asks_for_somebody_else(cast):
    assert client_of(cast.ana_account).post(PAGE, question(cast.col)).status_code == 404


def test_the_page_takes_no_more_queries_for_more_members(cast, django_assert_num_queries):
    ana = client_of(cast.ana_account)
    # session, account; members acted for, seat; absences ahead, asked of; the society twice
    with django_assert_num_queries(8):
        ana.get(PAGE)
    AccountMember.objects.create(account=cast.ana_account, member=cast.ben, since=SINCE)
    make_absence(cast.ana, cast.col, since=FROM, until=UNTIL)
    make_absence(cast.ben, cast.col, since=FROM, until=UNTIL)

    with django_assert_num_queries(8):
        ana.get(PAGE)
