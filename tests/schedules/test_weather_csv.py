"""Reading weather CSV: what is taken, what is refused, and where the fault is said to be."""

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedules.weather_csv import (
    Fault,
    Undecodable,
    daily,
    decode,
    is_normals,
    normals,
    read_normals,
    read_normals_bytes,
    read_weather,
    read_weather_bytes,
    suspect_line,
)

HEADER = "date,tmin_c,tmax_c,rain_mm,wind_ms"
NORMALS_HEADER = "month,tmin_c,tmax_c,rain_mm,wind_ms"


def weather(*rows: str, header: str = HEADER):
    return read_weather("\n".join([header, *rows]))


def faults(*rows: str, header: str = HEADER) -> list[tuple[int, str]]:
    return [(fault.line, fault.column) for fault in weather(*rows, header=header).faults]


def only_fault(*rows: str, header: str = HEADER) -> Fault:
    (fault,) = weather(*rows, header=header).faults
    return fault


def months(*, without: int = 0) -> list[str]:
    return [f"{month},{month},{month + 8},50,3" for month in range(1, 13) if month != without]


def test_a_good_row_is_read_in_metric_units():
    (row,) = weather("2024-03-09,-1.5,8,2.4,3").rows
    assert (row.line, row.date, row.tmin_c, row.tmax_c, row.rain_mm, row.wind_ms) == (
        2, date(2024, 3, 9), -1.5, 8.0, 2.4, 3.0,
    )  # fmt: skip


# Exact by definition: 32 °F = 0 °C, 212 °F = 100 °C; 1 in = 25.4 mm; 1 mile = 1609.344 m; 1 nautical
# mile = 1852 m (NIST Special Publication 811, appendix B).
@pytest.mark.parametrize(
    ("column", "written", "metric"),
    [
        ("tmin_f", "32", 0.0), ("tmin_f", "-40", -40.0), ("tmin_f", "50", 10.0), ("tmin_c", "7.5", 7.5),
        ("rain_in", "1", 25.4), ("rain_mm", "3.1", 3.1),
        ("wind_kmh", "36", 10.0), ("wind_mph", "100", 44.704), ("wind_kn", "36", 18.52),
        ("wind_ms", "4", 4.0),
    ],
)  # fmt: skip
def test_the_stated_unit_is_converted(column, written, metric):
    heads = {"tmin": "tmin_c", "tmax": "tmax_c", "rain": "rain_mm", "wind": "wind_ms"}
    cells = {"tmin": "", "tmax": "", "rain": "", "wind": ""}
    quantity = column.split("_")[0]
    heads[quantity], cells[quantity] = column, written
    (row,) = weather(
        ",".join(["2024-01-01", *cells.values()]), header=",".join(["date", *heads.values()])
    ).rows
    found = {"tmin": row.tmin_c, "rain": row.rain_mm, "wind": row.wind_ms}[quantity]
    assert found == pytest.approx(metric, abs=1e-12)


@pytest.mark.parametrize(
    "heading", ["tmin_f", "tmin (f)", "Tmin [F]", "TMIN (°F)", "tmin f", "tmin_fahrenheit"]
)
def test_a_unit_may_stand_in_brackets_or_after_a_line(heading):
    assert weather("2024-01-01,32,0", header=f"date,{heading},tmax_c").rows[0].tmin_c == 0


@pytest.mark.parametrize("written", ["2024-03-09", "2024/03/09"])
def test_two_spellings_of_a_date_are_taken(written):
    assert weather(f"{written},1,2,,").rows[0].date == date(2024, 3, 9)


@pytest.mark.parametrize(
    "written", ["09.03.2024", "03/09/2024", "2024-3-9", "2024-03/09", "20240309", "yesterday"]
)
def test_a_date_that_could_be_read_two_ways_is_refused(written):
    assert faults(f"{written},1,2,,") == [(2, "date")]


@pytest.mark.parametrize(
    ("written", "reason"),
    [
        ("2023-02-30", "no day 30 in February 2023; it has 28 days"),
        ("2023-02-29", "it has 28 days"),
        ("2024-13-01", "no month 13"),
        ("0202-01-01", "0202 is before 1850"),
        ("", "date is missing"),
    ],
)
def test_a_day_that_never_was_says_why(written, reason):
    assert reason in only_fault(f"{written},1,2,,").reason


def test_a_leap_day_is_a_day():
    assert weather("2024-02-29,1,2,,").rows[0].date == date(2024, 2, 29)


def test_every_fault_of_the_file_is_reported_at_once_by_line():
    found = faults("2024-02-30,1,2,,", "2024-01-02,9,3,,", "2024-01-03,warm,3,-1,x", "2024-01-04,1,2,3,4")
    assert found == [(2, "date"), (3, "tmin_c"), (4, "tmin_c"), (4, "wind_ms")]


def test_good_rows_stay_beside_bad_ones():
    assert [row.line for row in weather("2024-02-30,1,2,,", "2024-01-02,1,3,,").rows] == [3]


def test_a_missing_unit_is_named_on_line_1_and_no_row_is_good():
    file = weather("2024-01-01,1,2", header="date,tmin,tmax_c")
    assert [(f.line, f.column) for f in file.faults] == [(1, "tmin")]
    assert "tmin_c or tmin_f" in file.faults[0].remedy
    assert file.rows == ()


def test_rows_are_still_checked_when_a_unit_is_missing():
    found = faults("2024-02-30,1,2", "2024-01-02,9,3", "2024-01-03,warm,3", header="date,tmin,tmax")
    assert found == [(1, "tmin"), (1, "tmax"), (2, "date"), (3, "tmin"), (4, "tmin")]


@pytest.mark.parametrize(
    ("header", "reason"),
    [
        ("date,tmin,tmax_c", "In the unit of tmax_c, tmin would be above it (3)."),
        ("date,tmin_f,tmax", "In the unit of tmin_f, tmax (3) would be below it."),
    ],
)
def test_where_one_temperature_lacks_its_unit_the_other_one_serves_to_compare(header, reason):
    first, second = weather("2024-01-01,9,3", "2024-01-02,3,9", header=header).faults
    assert (first.line, second.line, second.reason) == (1, 2, reason)


@pytest.mark.parametrize("heading", ["tmin_k", "tmin (k)", "tmin ()", "tmin [parsec]", "tmin kelvin"])
def test_an_unknown_unit_is_a_fault(heading):
    assert faults("2024-01-01,1,2", header=f"date,{heading},tmax_c") == [(1, heading)]


@pytest.mark.parametrize("pair", ["tmin_c,tmin_c", "tmin_c,tmin_f"])
def test_a_quantity_given_twice_is_a_fault(pair):
    fault = only_fault("2024-01-01,1,2,3", header=f"date,{pair},tmax_c")
    assert (fault.line, "twice, in columns 2 and 3" in fault.reason) == (1, True)


@pytest.mark.parametrize(
    ("header", "row", "missing"),
    [
        ("tmin_c,tmax_c", "1,2", "date"),
        ("date,tmax_c", "2024-01-01,2", "tmin"),
        ("date,tmin_c", "2024-01-01,2", "tmax"),
    ],
)
def test_a_needed_column_is_named_when_absent(header, row, missing):
    assert faults(row, header=header) == [(1, missing)]


def test_other_columns_are_listed_as_ignored():
    file = weather("2024-01-01,1,2,sunny,270,", header="date,tmin_c,tmax_c,sky,wind_direction,")
    assert (file.ignored, file.faults) == (("sky", "wind_direction", "(no name)"), ())


def test_the_same_date_twice_points_at_the_first():
    fault = only_fault("2024-01-01,1,2,,", "2024/01/01,1,2,,")
    assert (fault.line, fault.reason) == (3, "2024-01-01 already stands on line 2.")


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("-60.1,0,,", "tmin_c"), ("0,60.1,,", "tmax_c"), ("0,1,-0.1,", "rain_mm"), ("0,1,2000.1,", "rain_mm"),
        ("0,1,,-0.1", "wind_ms"), ("0,1,,113.1", "wind_ms"),
    ],
)  # fmt: skip
def test_a_value_beyond_belief_is_set_aside_and_the_rest_of_its_row_taken(row, column):
    file = weather(f"2024-01-01,{row}")
    (aside,) = file.set_aside
    assert (file.faults, aside.day, aside.quantity) == ((), date(2024, 1, 1), column)
    assert aside.rule in {"under_the_possible", "over_the_possible"}
    taken = [getattr(file.rows[0], name) for name in ("tmin_c", "tmax_c", "rain_mm", "wind_ms")]
    cells = f"{row},,,".split(",")[:4]
    at = ("tmin_c", "tmax_c", "rain_mm", "wind_ms").index(column)
    assert taken == [None if n == at or not cell else float(cell) for n, cell in enumerate(cells)]
    assert suspect_line(aside).startswith("2024-01-01, ")


def test_a_row_at_fault_sets_nothing_aside():
    file = weather("2024-01-01,mild,99,,")
    assert ([fault.column for fault in file.faults], file.set_aside) == (["tmin_c"], ())


def test_normals_beyond_belief_are_still_refused():
    file = read_normals("\n".join([NORMALS_HEADER, "3,-61,8,50,3", *months(without=3)]))
    assert [(fault.line, fault.column) for fault in file.faults] == [(2, "tmin_c")]


def test_the_edge_of_belief_is_still_taken():
    file = weather("2024-01-01,-60,60,2000,113", "2024-01-02,0,0,0,0")
    assert (file.faults, file.set_aside) == ((), ())


def test_the_limit_is_judged_after_conversion():
    file = weather("2024-01-01,60,150", header="date,tmin_f,tmax_f")
    assert file.set_aside[0].value == pytest.approx(65.5555556)
    assert file.rows[0].tmax_c is None


@pytest.mark.parametrize(
    "text", ["nan", "NaN", "inf", "-Infinity", "1e999", "1_000", "0x10", "4 C", "٣", "-", "--1"]
)
def test_what_is_not_a_plain_number_is_refused(text):
    assert faults(f"2024-01-01,{text},9,,") == [(2, "tmin_c")]


def test_a_decimal_comma_is_refused_with_the_spelling_wanted():
    fault = only_fault("2024-01-01;3,5;9", header="date;tmin_c;tmax_c")
    assert (fault.value, fault.remedy) == ("3,5", "Write it with a point: 3.5.")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_three_separators_are_understood(delimiter):
    text = "date,tmin_c,tmax_c\n2024-01-01,1,2\n".replace(",", delimiter)
    assert len(read_weather(text).rows) == 1


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_lines_are_counted_as_an_editor_shows_them(ending):
    text = ending.join(["", HEADER, "", "2024-01-01,1,2,,", "   ", "2024-02-30,1,2,,", ""])
    assert [fault.line for fault in read_weather(text).faults] == [6]


def test_a_note_over_two_lines_does_not_shift_the_count():
    text = 'date,tmin_c,tmax_c,note\n2024-01-01,1,2,"wet,\nthen dry"\n2024-02-30,1,2,\n'
    file = read_weather(text)
    assert ([row.line for row in file.rows], [fault.line for fault in file.faults]) == ([2], [4])


def test_an_unclosed_quotation_mark_hides_no_other_row():
    found = faults('2024-01-01,"1,2,,', "2024-02-30,1,2,,", "2024-01-03,1,2,,")
    assert found == [(2, ""), (3, "date")]


def test_an_empty_cell_is_a_missing_value():
    (row,) = weather("2024-01-01,,2,,").rows
    assert (row.tmin_c, row.tmax_c, row.rain_mm) == (None, 2.0, None)


@pytest.mark.parametrize(("row", "reason"), [("2024-01-01,,,,", "holds no values"), (",,,,", "row is empty")])
def test_a_row_without_values_is_a_fault(row, reason):
    assert reason in only_fault(row).reason


@pytest.mark.parametrize("row", ["2024-01-01,1,2,3", "2024-01-01,1,2,3,4,5"])
def test_a_row_of_the_wrong_width_is_a_fault(row):
    assert "cells, the header has 5" in only_fault(row).reason


@pytest.mark.parametrize(("text", "reason"), [("", "empty"), (" \r\n\n", "empty"), (HEADER, "no rows")])
def test_a_file_without_rows_is_a_fault_on_line_1(text, reason):
    (fault,) = read_weather(text).faults
    assert (fault.line, reason in fault.reason) == (1, True)


def test_a_fault_in_the_header_is_told_even_without_rows():
    assert faults(header="date,tmin,tmax_c") == [(1, "tmin"), (1, "")]


def test_twenty_thousand_rows_are_taken_and_one_more_is_refused():
    first = date(1900, 1, 1)
    rows = [f"{first + timedelta(days=n)},1,2,," for n in range(20_001)]
    assert len(weather(*rows[:-1]).rows) == 20_000
    file = weather(*rows)
    assert (file.rows, [fault.line for fault in file.faults]) == ((), [20_002])


@pytest.mark.parametrize("length", [1_001, 200_000])
def test_a_cell_over_a_thousand_characters_is_refused(length):
    fault = only_fault(f"2024-01-01,{'9' * length},2,,")
    assert (fault.line, len(fault.value) <= 61, "longer than 1000" in fault.reason) == (2, True, True)


def test_the_reported_value_cannot_forge_a_line():
    assert only_fault("2024-01-01,a\x1b[2Kb\x0bc,2,,").value == "a\\x1b[2Kb\\x0bc"


def test_the_apostrophe_of_a_spreadsheet_safe_export_is_taken_off():
    assert weather("2024-01-01,'-3.5,2,,").rows[0].tmin_c == -3.5


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_bytes_are_read_with_or_without_a_mark(encoding):
    data = "date,tmin (°c),tmax_c,größe\r\n2024-01-01,1,2,\r\n".encode(encoding)
    file = read_weather_bytes(data)
    assert (len(file.rows), file.ignored) == (1, ("größe",))


@pytest.mark.parametrize("data", ["date\n".encode("utf-16"), b"date\n\x81\xff", b"PK\x03\x04\x00\x00"])
def test_bytes_that_are_no_text_are_one_clear_fault(data):
    file = read_weather_bytes(data)
    assert (file.rows, "UTF-8" in file.faults[0].remedy) == ((), True)


def test_decode_says_on_which_line_the_bytes_go_wrong():
    with pytest.raises(Undecodable, match="line 3"):
        decode(b"a\nb\nc \x81 \xff")


def test_normals_are_read_in_any_order():
    file = read_normals("\n".join([NORMALS_HEADER, *reversed(months())]))
    assert (file.faults, [row.month for row in file.rows]) == ((), list(range(12, 0, -1)))


def test_a_missing_month_leaves_no_row_good():
    file = read_normals("\n".join([NORMALS_HEADER, *months(without=7)]))
    assert (file.rows, file.faults[0].line, file.faults[0].value) == ((), 1, "7")


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("13,1,2,3,4", "month"), ("6,1,2,3,4", "month"), ("July,1,2,3,4", "month"),
        ("7,,2,3,4", "tmin_c"), ("7,5,2,3,4", "tmin_c"),
    ],
)  # fmt: skip
def test_a_bad_month_is_named_by_line(row, column):
    file = read_normals("\n".join([NORMALS_HEADER, *months(without=7), row]))
    assert (13, column) in [(fault.line, fault.column) for fault in file.faults]


def test_normals_convert_units_and_may_lack_rain_and_wind():
    file = read_normals("\n".join(["month;tmin [f];tmax [f]", *(f"{m};32;50" for m in range(1, 13))]))
    assert (file.rows[0].tmin_c, file.rows[0].tmax_c, file.rows[0].rain_mm) == (0, pytest.approx(10), None)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("\ufeffMonth,tmin_c", True), (HEADER, False), ("date,month,tmin_c", False), ("", False)],
)
def test_a_normals_file_is_known_by_its_header(text, expected):
    assert is_normals(text) is expected


def test_normals_bytes_that_are_no_text_are_a_fault():
    assert read_normals_bytes(b"\0").faults[0].line == 1


def test_daily_keeps_a_gap_a_gap():
    days = daily(weather("2024-01-04,4,9,,", "2024-01-01,1,2,,5").rows)
    assert days.first == date(2024, 1, 1)
    np.testing.assert_array_equal(days.tmin_c, [1, math.nan, math.nan, 4])
    np.testing.assert_array_equal(days.wind_ms, [5, math.nan, math.nan, math.nan])


def test_daily_needs_a_day_to_begin_at():
    with pytest.raises(ValueError, match="no weather rows"):
        daily(())


def test_normals_arrays_run_from_january():
    file = read_normals("\n".join([NORMALS_HEADER, *reversed(months())]))
    np.testing.assert_array_equal(normals(file.rows).tmin_c, np.arange(1, 13))


def test_normals_arrays_need_all_months():
    file = read_normals("\n".join([NORMALS_HEADER, *months()]))
    with pytest.raises(ValueError, match="twelve months"):
        normals(file.rows[1:])


def cell(low: float, high: float):
    return st.none() | st.floats(low, high, allow_nan=False)


@st.composite
def rows(draw):
    tmin, tmax = draw(cell(-60, 60)), draw(cell(-60, 60))
    if tmin is not None and tmax is not None and tmin > tmax:
        tmin, tmax = tmax, tmin
    return (tmin, tmax, draw(cell(0, 2000)), draw(cell(0, 113)))


@settings(deadline=None)
@given(
    table=st.dictionaries(st.dates(date(1850, 1, 1), date(2200, 1, 1)), rows(), min_size=1, max_size=20),
    delimiter=st.sampled_from(",;\t"),
    ending=st.sampled_from(["\n", "\r\n"]),
    order=st.permutations(["date", "tmin_c", "tmax_c", "rain_mm", "wind_ms"]),
)
def test_what_is_written_is_read_back(table, delimiter, ending, order):
    lines = [delimiter.join(order)]
    for day, values in table.items():
        cells = dict(zip(["tmin_c", "tmax_c", "rain_mm", "wind_ms"], values, strict=True))
        written = {name: "" if value is None else repr(value) for name, value in cells.items()}
        lines.append(delimiter.join({"date": day.isoformat(), **written}[name] for name in order))
    file = read_weather_bytes(ending.join(lines).encode())
    kept = {day: values for day, values in table.items() if any(value is not None for value in values)}
    assert {row.date: (row.tmin_c, row.tmax_c, row.rain_mm, row.wind_ms) for row in file.rows} == kept
    assert len(file.faults) == len(table) - len(kept)


@settings(deadline=None, max_examples=300)
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: f"{HEADER}\n{text}".encode()))
def test_no_bytes_bring_the_reader_down(data):
    file = read_weather_bytes(data)
    assert file.rows or file.faults
    assert list(file.faults) == sorted(file.faults, key=lambda fault: fault.line)
