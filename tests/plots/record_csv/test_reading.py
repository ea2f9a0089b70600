"""Files of old records, good and bad: what is read of them, and what is said to what cannot be read."""

from datetime import date
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from plots.crops import crops
from plots.record_csv import Moment, RecordRow, What, Where, read_record, write_record
from plots.record_csv.cells import escaped, unescaped
from plots.rotation import problems

HEAD = "year,plot,bed,from,to,crop,problem\n"
LEEK = What("Leek", "Amaryllidaceae", "leek")


def read(text: str | bytes):
    return read_record(text if isinstance(text, bytes) else text.encode())


def only(text: str) -> RecordRow:
    found = read(text)
    assert found.faults == ()
    (row,) = found.rows
    return row


def test_a_row_in_full():
    text = (
        "year,plot,bed,part,from,to,crop,variety,failed,problem,sure,note\n"
        "2019,4,bed A,north half,2019-04-09,2019-11-02,Leek,Long Winter,no,white rot,yes,at the west end\n"
    )

    assert only(text) == RecordRow(
        2, 2019, Where("4", "bed A", "north half"), Moment(date(2019, 4, 9)), Moment(date(2019, 11, 2)), LEEK,
        variety="Long Winter", problem="white-rot", is_sure=True, note="at the west end",
    )  # fmt: skip


@pytest.mark.parametrize(
    "data",
    [
        b"\xef\xbb\xbf" + HEAD.encode() + b"2019,4,bed A,,,Leek,",
        HEAD.encode("cp1252") + "2019,4,bed A,,,Leek,".encode("cp1252"),
        HEAD.replace(",", ";").encode() + b"2019;4;bed A;;;Leek;",
        HEAD.replace(",", "\t").encode() + b"2019\t4\tbed A\t\t\tLeek\t",
        b"Plant;Season;Plot no.;Bed or corner\nleeks;2019/20;4;bed A\n",
        b"sep=;\n" + HEAD.replace(",", ";").encode() + b"2019;4;bed A;;;Leek;",
        b"CROP,Bed,PLOT NUMBER,Year\r\nLEEK,bed A,4,2019\r\n",
        HEAD.encode() + b"\n,,,,,,\n2019,4,bed A,,,Leek,\n\n",
        HEAD.encode() + b"2019,4,bed A\n2019,4,bed A,,,Leek".partition(b"\n")[2],
        HEAD.encode() + b"2019,4,bed A,,,Leek,,,,\n",
    ],
    ids=[
        "mark",
        "1252",
        "semicolon",
        "tab",
        "synonyms",
        "hint",
        "any order",
        "blank rows",
        "short row",
        "long row",
    ],
)
def test_files_that_say_the_same(data):
    found = read(data)

    assert found.faults == ()
    assert [(row.year, row.where.plot, row.where.bed, row.what) for row in found.rows] == [
        (2019, "4", "bed A", LEEK)
    ]


def test_letters_of_windows_1252():
    assert only_note(HEAD.replace("problem", "note") + "2019,4,,,,Leek,Möhrenfliege – früh\n", "cp1252") == (
        "Möhrenfliege – früh"
    )


def only_note(text: str, encoding: str) -> str:
    found = read(text.encode(encoding))
    assert found.faults == ()
    return found.rows[0].note


def test_a_workbook_says_the_same_as_its_csv():
    book = Workbook()
    for row in (["year", "plot", "bed", "from", "crop"], [2019, 4, "bed A", date(2019, 4, 9), "Leek"]):
        book.active.append(row)
    out = BytesIO()
    book.save(out)

    assert read(out.getvalue()).rows == read("year,plot,bed,from,crop\n2019,4,bed A,2019-04-09,Leek\n").rows


@pytest.mark.parametrize(
    ("written", "day"),
    [
        ("2019-04-09", date(2019, 4, 9)), ("2019/4/9", date(2019, 4, 9)), ("9.4.2019", date(2019, 4, 9)),
        ("09.04.19", date(2019, 4, 9)), ("25/4/2019", date(2019, 4, 25)), ("9 April 2019", date(2019, 4, 9)),
        ("9th Apr. 2019", date(2019, 4, 9)), ("April 9, 2019", date(2019, 4, 9)),
        ("5/5/2019", date(2019, 5, 5)),
        ("2019-04-09 00:00:00", date(2019, 4, 9)), ("9 Sept 2019", date(2019, 9, 9)),
    ],
)  # fmt: skip
def test_days(written, day):
    assert only(HEAD + f'2019,4,bed A,"{written}",,Leek,\n').begun == Moment(day)


def test_one_line_decides_the_order_for_all():
    found = read(HEAD + "2019,4,,9/4/2019,,Leek,\n2019,4,,9/4/2019,25/10/2019,Leek,\n")

    assert [row.begun for row in found.rows] == [Moment(date(2019, 4, 9))] * 2
    assert found.remarks == ("Days in figures are read with the day first, as 25/10/2019 on line 3 shows.",)


def test_the_month_may_stand_first_where_a_line_shows_it():
    found = read(HEAD + "2019,4,,4/9/2019,10/25/2019,Leek,\n")

    assert found.rows[0].begun == Moment(date(2019, 4, 9))
    assert "the month first" in found.remarks[0]


def test_a_month_or_a_year_alone_is_kept_without_a_day():
    found = read(HEAD + "2019,4,,April,2020,Leek,\n2018,4,,2018-03,now,Leek,\n")

    assert [(row.begun, row.ended) for row in found.rows] == [
        (Moment(month=4), Moment(year=2020)), (Moment(year=2018, month=3), Moment(stands=True)),
    ]  # fmt: skip
    assert found.remarks == ("2 cells say a month and no day: its year is kept, the day stays open.",)


@pytest.mark.parametrize(
    ("written", "moment"),
    [
        ("2003/04", Moment(year=2003, spans=True)), ("2003/4", Moment(year=2003, month=4)),
        ("2003-04", Moment(year=2003, month=4)), ("2019/20", Moment(year=2019, spans=True)),
        ("10/2003", Moment(year=2003, month=10)),
    ],
)  # fmt: skip
def test_a_winter_is_no_month(written, moment):
    assert only(HEAD + f"2003,4,bed A,{written},,Leek,\n").begun == moment


@pytest.mark.parametrize(
    ("head", "cells", "where"),
    [
        ("length_m,width_m", '"2,5",1.2', {"length_m": 2.5, "width_m": 1.2}),
        ("Length (ft),width", "10,120 cm", {"length_m": 3.048, "width_m": 1.2}),
        ("along_m,across_m", "1,0", {"along_m": 1.0, "across_m": 0.0}),
        ("corners", "0 0; 5 0; 5 -1.5", {"corners": ((0, 0), (5, 0), (5, -1.5))}),
    ],
)
def test_places_in_figures(head, cells, where):
    found = only(f"year,plot,crop,{head}\n2019,4,Leek,{cells}\n").where

    for name, value in where.items():
        assert getattr(found, name) == (pytest.approx(value) if isinstance(value, float) else value)


def test_what_is_nothing_or_a_family_is_told():
    found = read(HEAD + "2018,4,,,,fallow,\n2019,4,,,,some brassica,\n2020,4,,,,some brassica,\n")

    assert [row.year for row in found.rows] == [2019, 2020]
    assert found.remarks == (
        "1 row says that nothing grew. Nothing is kept for that.",
        "Kept by the family, as they are no one crop of the list: some brassica (Brassicaceae) in 2 rows.",
    )


@pytest.mark.parametrize(
    "head",
    [
        "Year;Plot;Bed/Corner;Crop",
        "year/season,plot no.,bed (or corner),crop/family",
        "Years,Plots,Bed & part,Crops",
    ],
)
def test_headings_may_name_two_things(head):
    cells = "2019,4,bed A,Leek".replace(",", ";" if ";" in head else ",")
    found = read(f"{head}\r\n{cells}\r\n")

    assert (found.faults, found.ignored) == ((), ())
    assert [(row.year, row.where.plot, row.where.bed, row.what) for row in found.rows] == [
        (2019, "4", "bed A", LEEK)
    ]


def test_columns_that_nobody_asked_for_are_named():
    assert read("year,plot,crop,weather\n2019,4,Leek,wet\n").ignored == ("weather",)


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        (HEAD + "19,4,,,,Leek,", 2, "year", "Write the year in four figures"),
        (HEAD + "2019/21,4,,,,Leek,", 2, "year", "one row for each season"),
        (HEAD + "2015-2019,4,,,,Asparagus,", 2, "year", "from and to for what stood through"),
        (HEAD + "1819,4,,,,Leek,", 2, "year", "before 1900"),
        (HEAD + ",4,,,,Leek,", 2, "year", "Neither a year nor a day"),
        (HEAD + "2019,,,,,Leek,", 2, "plot", "Write the plot’s number"),
        (HEAD + "2019,4,,,,,", 2, "crop", "Neither a crop nor a problem"),
        (HEAD + "2019,4,,,,carot,", 2, "crop", "Did you mean “Carrot, early”"),
        (HEAD + '2019,4,,,,"leek, pea",', 2, "crop", "Use two rows"),
        (HEAD + '2019,4,,,,"leek\npea",', 2, "crop", "Use two rows"),
        (HEAD + "2019,4,,,,Leek,blight", 2, "problem", "note column"),
        (HEAD + "2019,4,,9/4/2019,,Leek,", 2, "from", "2019-04-09 or 2019-09-04"),
        (HEAD + "2019,4,,31/4/2019,,Leek,", 2, "from", "it has 30 days"),
        (HEAD + "2019,4,,2019-02-30,,Leek,", 2, "from", "There is no day 30 in February 2019"),
        (HEAD + "2019,4,,soon,,Leek,", 2, "from", "leave the cell empty"),
        (HEAD + ",4,,9.4.19,,Leek,", 2, "from", "Which century"),
        (HEAD + ",4,,April,,Leek,", 2, "from", "without its year"),
        (HEAD + "2019,4,,now,,Leek,", 2, "from", "The first day cannot be now"),
        (HEAD + "2019,4,,2019-09-01,2019-04-01,Leek,", 2, "to", "Check whether the two days are swapped"),
        (HEAD + "2019,4,,,,Leek,,,extra", 2, "", "quotation marks"),
        (HEAD + '2019,4,,,,"Leek,', 2, "", "quotation mark"),
        (HEAD + "2019,4,,,,Leek," + "x" * 1001, 2, "", "longer than 1000"),
        ("year,plot,crop,sure\n2019,4,Leek,hm", 2, "sure", "yes or no"),
        ("year,plot,crop,note\n2019,4,Leek," + "x" * 401, 2, "note", "Say it in 400"),
        ("year,plot,crop,length\n2019,4,Leek,3", 2, "length", "length_m"),
        ("year,plot,crop,length_m\n2019,4,Leek,long", 2, "length_m", "Write a number"),
        ("year,plot,crop,length_m\n2019,4,Leek,3 perch", 2, "length_m", "Write m, cm or ft"),
        ("year,plot,crop,corners\n2019,4,Leek,0 0; 5 0", 2, "corners", "make no outline"),
        ("year,plot,crop,corners\n2019,4,Leek,0 0; 5; 5 5", 2, "corners", "Corner 2 is not two numbers"),
        ("year,plot,crop,family\n2019,4,Cosmos,flowers", 2, "family", "Write one like"),
        ("year,crop\n2019,Leek", 1, "plot", "Name one column plot"),
        ("plot,crop\n4,Leek", 1, "year", "Name one column year"),
        ("year,plot\n2019,4", 1, "crop", "Name one column crop"),
        ("year,season,plot,crop\n2019,2019,4,Leek", 1, "season", "Take one of the two columns out"),
        (HEAD, 1, "", "no rows"),
        ("", 1, "", "The file is empty"),
        (b"\xff\xfey\0e\0", 1, "", "UTF-16"),
        (b"year,plot,crop\n2019,4,\x81", 2, "", "neither UTF-8 nor Windows-1252"),
        (b"PK\x03\x04 torn", 1, "", "damaged"),
        (b"x" * 5_000_001, 1, "", "larger than 5 MB"),
        (HEAD + "2019,4,,,,Leek,\n" * 20_001, 20_002, "", "more than 20000 rows"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named_with_line_column_and_remedy(text, line, column, words):
    found = read(text)

    (fault,) = found.faults
    assert (fault.line, fault.column) == (line, column)
    assert words in f"{fault.reason} {fault.remedy}"


def test_every_fault_of_a_row_and_of_the_file_is_found():
    found = read(HEAD + "19,,,soon,,carot,blight\n2019,4,,,,Leek,\n2020,4,,,,carot,\n")

    assert [(fault.line, fault.column) for fault in found.faults] == [
        (2, "year"), (2, "plot"), (2, "from"), (2, "problem"), (2, "crop"), (4, "crop"),
    ]  # fmt: skip
    assert [row.line for row in found.rows] == [3]


def test_a_flawed_row_is_told_as_far_as_it_was_read():
    (row,) = read(HEAD + "2019,7,bed 1,,,carot,\n").flawed

    assert (row.year, row.where, row.what) == (2019, Where("7", "bed 1"), None)


def test_a_file_of_nothing_but_faults_is_given_up():
    found = read("year,plot,crop\n" + "2019,4,xylophone\n" * 3000)

    assert len(found.faults) == 2001
    assert found.faults[-1].line == 2002
    assert found.faults[-1].reason == "From here on the file was not read."


def test_both_orders_in_one_file_decide_nothing():
    found = read(HEAD + "2019,4,,25/4/2019,,Leek,\n2019,4,,4/25/2019,,Leek,\n2019,4,,4/5/2019,,Leek,\n")

    assert [fault.line for fault in found.faults] == [4]
    assert "other lines show both orders" in found.faults[0].reason


@given(st.text(max_size=30))
def test_an_apostrophe_before_a_sign_comes_back_as_it_was(text):
    assert unescaped(escaped(text)) == text
    assert not escaped(text).startswith(("=", "+", "-", "@", "\t", "\r"))


words = st.text(st.characters(codec="cp1252", exclude_categories=("C", "Z")) | st.just(" "), max_size=40).map(
    lambda text: " ".join(text.split())
)
names = words.filter(lambda text: text not in {"", "-", "–", "—"})
metres = st.none() | st.integers(0, 20_000).map(lambda number: number / 1000)
eastings = st.integers(-9_999_999, 9_999_999).map(lambda number: number / 1000)
corners = st.lists(st.tuples(eastings, eastings), min_size=3, max_size=6)
listed = st.sampled_from(crops()).map(
    lambda crop: What(crop.name, crop.family, crop.key, bool((fact := crop.get("is_root")) and fact.value))
)
families = st.sampled_from(["Asteraceae", "Rosaceae"]).map(lambda name: What("flowers for cutting", name))
troubles = st.sampled_from(list(problems()))


def days(year: int) -> st.SearchStrategy[Moment]:
    return st.dates(date(year, 1, 1), date(year, 12, 31)).map(Moment)


@st.composite
def a_row(draw: st.DrawFn) -> RecordRow:
    year = draw(st.integers(1900, 2026))
    begun = draw(st.none() | days(year) | st.just(Moment(year=year)))
    ended = draw(st.none() | st.just(Moment(stands=True)) | days(year + 1))
    what = draw(st.none() | listed | families)
    problem = draw(troubles if what is None else st.just("") | troubles)
    plot = draw(names.map(lambda text: text[:12].strip()).filter(bool))
    places = [draw(metres) for _ in range(4)]
    where = Where(plot, draw(words), draw(words), tuple(draw(st.just([]) | corners)), *places)
    return RecordRow(
        0, year, where, begun, ended, what, variety=draw(words), failed=draw(st.booleans()), problem=problem,
        is_sure=bool(problem) and draw(st.booleans()), note=draw(words),
    )  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.lists(a_row(), min_size=1, max_size=5))
def test_what_is_written_is_read_back(rows):
    found = read_record(write_record(rows).encode())

    assert found.faults == ()
    assert [{**as_dict(row), "line": 0} for row in found.rows] == [as_dict(row) for row in rows]


def as_dict(row: RecordRow) -> dict:
    return {name: getattr(row, name) for name in RecordRow.__dataclass_fields__}
