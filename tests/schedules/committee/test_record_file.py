"""Old records in the committee's book: looked at, then kept, and given out again."""

from datetime import timedelta
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import Workbook

from plots.models import OtherUse, Plot, Sowing
from schedules import carried_file
from schedules.carried_file import CarriedFault, carry, unpacked
from society.models import JournalEntry
from tests.factories import make_site
from tests.schedules.committee.conftest import NOW, said

HEAD = "year,plot,bed,from,to,crop,problem\n"
ROWS = (
    HEAD
    + "2019,7,bed 1,2019-04-09,2019-11-02,Leek,\n2018,7,,,,some brassica,\n2019,8,bed 1,,,Kale,clubroot\n"
)


def a_file(text=ROWS, name="old.csv"):
    return SimpleUploadedFile(name, text if isinstance(text, bytes) else text.encode())


def looked(send, text=ROWS, **fields):
    return send("committee-record-file", file=a_file(text), **fields)


def carried(answer):
    return answer.context["preview"].carried


def test_a_file_is_looked_at_before_it_is_kept(cast, send):
    answer = looked(send)

    page = answer.content.decode()
    assert answer.status_code == 200
    assert "4 entries would be added to the record of Alder Lane" in page
    assert "2 sowings, 1 by its family alone and 1 problem seen, 1 of them known only roughly." in page
    assert "<em>somewhere on the plot</em>" in page
    assert "clubroot, not sure, bed 1" in page
    assert not Sowing.objects.exists()
    assert not JournalEntry.objects.exists()

    kept = send("committee-record-file", carried=carried(answer), keep="yes")

    assert said(kept) == [
        "Kept: 2 sowings, 1 by its family alone and 1 problem seen, 1 of them known only roughly. "
        "The ground is judged again."
    ]
    assert set(Sowing.objects.values_list("crop", "season")) == {("leek", 2019), ("kale", 2019)}
    assert OtherUse.objects.get().member == cast.dee


def test_a_workbook_goes_the_same_way(cast, send):
    book = Workbook()
    for row in (["year", "plot", "bed", "crop"], [2019, 7, "bed 1", "Leek"]):
        book.active.append(row)
    out = BytesIO()
    book.save(out)

    answer = looked(send, out.getvalue())
    send("committee-record-file", carried=carried(answer), keep="yes")

    assert Sowing.objects.get().crop == "leek"


def test_one_fault_keeps_everything_out(cast, send):
    answer = looked(send, ROWS + "2019,7,bed 1,,,carot,\n", keep="yes")

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "1 thing in the file cannot be read, so nothing can be kept yet" in page
    assert "Line </span>5" in page
    assert "Did you mean “Carrot, early” or “Carrot, maincrop”?" in page
    assert "Keep all of it" not in page
    assert not Sowing.objects.exists()


def test_the_record_counts_as_complete_where_the_committee_says_so(cast, send):
    Plot.objects.update(record_since=None)
    answer = looked(send, is_complete="on")

    assert "The record of plot 7 then counts as complete from 2018 on." in answer.content.decode()
    assert Plot.objects.filter(record_since=None).count() == 2

    send("committee-record-file", carried=carried(answer), keep="yes", is_complete="on")

    assert list(Plot.objects.order_by("number").values_list("record_since", flat=True)) == [2018, 2019]


def test_the_same_file_again_is_known(cast, send):
    send("committee-record-file", carried=carried(looked(send)), keep="yes")

    page = looked(send).content.decode()

    assert "All of the file is on record already" in page
    assert "Keep all of it" not in page


def test_what_the_record_says_otherwise_is_told(cast, send):
    send("committee-record-file", carried=carried(looked(send)), keep="yes")

    page = looked(send, HEAD + "2019,7,bed 1,2019-04-12,2019-11-02,Leek,\n").content.decode()

    assert "The record says otherwise, so nothing of the file would be added" in page
    assert "begun 9 April 2019 (the file says 12 April 2019)" in page


def test_the_journal_says_so_in_one_line(cast, send, look):
    send("committee-record-file", carried=carried(looked(send)), keep="yes")

    assert (
        "took old records in for Alder Lane: 2 sowings, 1 by its family alone and 1 problem seen, "
        "1 of them known only roughly" in look("committee-journal")
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda text: text[:-5] + "AAAAA", "not the file that you looked at"),
        (lambda text: "", "Choose the file first."),
        (lambda text: "1.eJwDAAAAAAE=", "not the file that you looked at"),
    ],
)
def test_only_what_was_looked_at_is_kept(cast, send, change, words):
    answer = send("committee-record-file", carried=change(carried(looked(send))), keep="yes")

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Sowing.objects.exists()


def test_a_page_left_open_too_long_keeps_nothing(cast, send):
    held = carried(looked(send))
    with time_machine.travel(NOW + timedelta(hours=1, minutes=1), tick=False):
        answer = send("committee-record-file", carried=held, keep="yes")

    assert "more than an hour ago" in answer.content.decode()
    assert not Sowing.objects.exists()


def test_what_is_carried_belongs_to_one_site_and_one_account(cast, send, dee):
    make_site(cast.society, name="Far Field")
    held = carried(looked(send))

    answer = dee.post(f"{reverse('committee-record-file')}?site=far-field", {"carried": held, "keep": "yes"})

    assert "not the file that you looked at" in answer.content.decode()


def test_what_is_too_large_to_carry_is_said(cast, send, monkeypatch):
    monkeypatch.setattr(carried_file, "MOST_CARRIED", 100)

    page = looked(send).content.decode()

    assert "too large for this page to carry" in page
    assert "Keep all of it" not in page


def test_carried_bytes_come_back_as_they_were():
    data = bytes(range(256)) * 40
    text = carry(data, about="a", now=NOW)

    assert unpacked(text, about="a", most=len(data), now=NOW) == data
    with pytest.raises(CarriedFault):
        unpacked(text, about="b", most=len(data), now=NOW)


def test_a_name_is_never_a_path(cast, send):
    """A file's own name is told nowhere and written nowhere."""
    answer = send("committee-record-file", file=a_file(name="../../etc/passwd"))

    assert answer.status_code == 200
    assert "passwd" not in answer.content.decode()


def test_the_record_is_given_out_in_the_form_that_is_taken_in(cast, send, dee):
    send("committee-record-file", carried=carried(looked(send)), keep="yes")

    answer = dee.get(reverse("committee-record-out"))

    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="record-alder-lane.csv"'
    again = looked(send, answer.content)
    assert again.context["preview"].outcome.known == 4
    assert again.context["preview"].outcome.added == ()


def test_many_rows_ask_the_database_no_more_often_than_one(cast, dee):
    def asked(text):
        with CaptureQueriesContext(
            connection,
        ) as found:
            assert dee.post(reverse("committee-record-file"), {"file": a_file(text)}).status_code == 200
        return len(found)

    one = asked(HEAD + "2018,7,bed 1,,,Leek,\n")
    fifty = asked(HEAD + "".join(f"{1970 + number},7,bed 1,,,Leek,\n" for number in range(50)))

    assert fifty == one
