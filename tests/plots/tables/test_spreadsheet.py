"""Workbooks: what is read, and everything that is refused before it is opened."""

import zipfile
from datetime import date, datetime
from io import BytesIO

import pytest
from openpyxl import Workbook

from plots.tables import UnreadableWorkbook, is_workbook, read_sheet, spreadsheet


def workbook(*rows, extra=()) -> bytes:
    """A workbook with these rows on its first sheet; ``extra`` are members added to the archive."""
    book = Workbook()
    for row in rows:
        book.active.append(row)
    out = BytesIO()
    book.save(out)
    if extra:
        with zipfile.ZipFile(out, "a") as archive:
            for name, data in extra:
                archive.writestr(name, data)
    return out.getvalue()


def refusal(data: bytes) -> str:
    with pytest.raises(UnreadableWorkbook) as found:
        read_sheet(data)
    return str(found.value)


def test_values_come_as_text():
    data = workbook(
        ["year", "plot", "from"],
        [2019, 4.0, datetime(2019, 4, 9)],  # noqa: DTZ001 - a sheet knows no zones
        [2020, 4.5, date(2020, 4, 1)],
        [None, True],
    )

    assert [record.cells for record in read_sheet(data).records] == [
        ("year", "plot", "from"), ("2019", "4", "2019-04-09"), ("2020", "4.5", "2020-04-01"), ("", "yes"),
    ]  # fmt: skip


def test_blank_rows_are_passed_over_and_counted():
    assert [record.line for record in read_sheet(workbook(["a"], [], [None], ["b"])).records] == [1, 4]


def test_the_first_sheet_with_rows_is_read_and_others_are_named():
    book = Workbook()
    book.create_sheet("old years").append(["a", "b"])
    book.create_sheet("more").append(["c"])
    out = BytesIO()
    book.save(out)

    sheet = read_sheet(out.getvalue())

    assert (sheet.name, sheet.others) == ("old years", ("more",))


def test_a_long_cell_is_a_fault_of_its_line():
    record = read_sheet(workbook(["note"], ["x" * 1001])).records[1]

    assert record.fault
    assert (record.line, record.fault.reason) == (2, "A cell is longer than 1000 characters.")


def test_text_is_no_workbook():
    assert not is_workbook(b"year,plot")
    assert is_workbook(workbook(["a"]))


def test_macros_are_refused_in_words():
    said = refusal(workbook(["a"], extra=[("xl/vbaProject.bin", b"\0")]))

    assert said == (
        "The workbook has macros in it, and files with programs are not taken. "
        "Save it as .xlsx, without macros, or as CSV."
    )


def test_an_old_or_locked_file_is_refused_in_words():
    assert "an old Excel file (.xls), or one with a password" in refusal(
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
    )


def test_another_archive_is_refused():
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("content.xml", "<a/>")

    assert "no .xlsx workbook" in refusal(out.getvalue())


def test_a_locked_member_is_refused():
    """The bit that says so stands in the table of contents (APPNOTE.TXT, 4.4.4, bit 0)."""
    data = bytearray(workbook(["a"]))
    at = data.rindex(b"PK\x01\x02")
    data[at + 8] |= 1

    assert "has a password" in refusal(bytes(data))


def test_too_many_members_are_refused():
    extra = [(f"xl/media/{number}.png", b"") for number in range(spreadsheet.MOST_MEMBERS)]

    assert "more than 200 parts" in refusal(workbook(["a"], extra=extra))


def test_a_bomb_is_refused_by_what_it_would_become():
    out = BytesIO(workbook(["a"]))
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/zeros.png", b"\0" * (spreadsheet.MOST_INFLATED_BYTES + 1))
    data = out.getvalue()

    assert len(data) < 200_000
    assert "Unpacked, the workbook is larger than 60 MB." in refusal(data)


def test_words_of_its_own_in_the_xml_are_refused():
    bomb = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'

    assert "defines words of its own" in refusal(workbook(["a"], extra=[("xl/extra.xml", bomb)]))


@pytest.mark.parametrize("cut", [10, 300, 2000])
def test_a_torn_file_is_refused(cut):
    assert "damaged" in refusal(workbook(["a"] * 20)[:cut])


def test_what_stands_far_below_is_not_passed_over():
    book = Workbook()
    book.active["A1"] = "year"
    book.active["A90000"] = 2019
    out = BytesIO()
    book.save(out)

    assert "something stands as far down as row 90000" in refusal(out.getvalue())


def test_an_empty_workbook_is_refused():
    assert "has no rows" in refusal(workbook())
