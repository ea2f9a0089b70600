"""A row of beds typed in one line is read as people write it; a misreading says what is wanted."""

import math
import random
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plots.bed_rows import BedRow, BedRowFault, bed_row_read, names_free, row_outlines
from plots.outlines import polygon, rectangle

SIX = BedRow(6, 5.0, 1.2, 0.4)
FOOT, INCH = 0.3048, 0.0254  # international foot and inch, exact by definition
PLOT = rectangle((0, 0), length_m=20, width_m=8)


@pytest.mark.parametrize(
    "line",
    [
        "6 beds of 1.2 x 5 m, paths 0.4 m",
        "6 beds of 1,2 × 5 m, paths 0,4 m",
        "Six beds 5 by 1.2 metres with 40 cm paths",
        "6 x 1.2 x 5m; 0.4 m paths",
        "paths of 40cm between 6 beds, each 120 x 500 cm",
        "a row of six beds 1.2 m wide and 5 m long, path 400 mm",
        "6 beds of 120 x 500 cm, paths 40",
        "6 BEDS OF 1.2 X 5, PATHS 0.4",
        "1,2x5m,6 beds,0,4 m paths",
        "6 beds of 1.2 m x 5 m, 40 cm apart",
    ],
)
def test_one_row_is_written_in_many_ways(line: str) -> None:
    assert bed_row_read(line) == SIX


def test_feet_and_inches_are_read() -> None:
    row = bed_row_read("4 beds of 4 ft 6 in x 16', paths 1½ ft")

    assert row.width_m == pytest.approx(4 * FOOT + 6 * INCH, abs=1e-4)
    assert row.length_m == pytest.approx(16 * FOOT, abs=1e-4)
    assert row.path_m == pytest.approx(1.5 * FOOT, abs=1e-4)


@pytest.mark.parametrize(
    ("line", "path_m"),
    [
        ("4 beds of 4 ft x 16 ft, 18-inch paths", 18 * INCH),
        ("4 beds of 4 ft x 16 ft, 6 in paths", 6 * INCH),
        ("4 raised beds of 4 by 16 ft 18 in paths", 18 * INCH),
        ("4 beds of 4 ft x 16 ft, paths 1 ft 6 in", 18 * INCH),
        ("4 beds of 4 ft x 16 ft, paths 1 1/2 ft", 18 * INCH),
        ("4 beds of 4-ft x 16-ft, paths of 1/2 yd", 18 * INCH),
        ("4 beds of 4 ft x 16 ft, no paths", 0.0),
        ("4 beds of 4 ft x 16 ft without any paths", 0.0),
    ],
)
def test_a_path_is_no_part_of_the_length_before_it(line: str, path_m: float) -> None:
    row = bed_row_read(line)

    assert (row.count, row.width_m, row.length_m) == (4, 1.2192, 4.8768)
    assert row.path_m == pytest.approx(path_m, abs=1e-4)


def test_one_bed_needs_no_path() -> None:
    assert bed_row_read("a bed of 1.2 x 5 m") == BedRow(1, 5.0, 1.2, 0.0)


def test_wide_and_long_are_taken_at_their_word() -> None:
    assert bed_row_read("2 beds 5 m wide by 3 m long, paths 0.5 m") == BedRow(2, 3.0, 5.0, 0.5)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("", "nothing is typed"),
        ("some beds", "“some” is not understood"),
        ("beds of 1.2 x 5 m, paths 0.4 m", "how many beds"),
        ("6 beds of 1.2 x 5 m", "how wide the paths"),
        ("6 beds of 1.2 x 5 m, paths", "how wide the paths"),
        ("6 beds of 1.2 m, paths 0.4 m", "how wide and how long"),
        ("6 beds 1.2 5 m, paths 0.4 m", "needs an x between"),
        ("6 beds of 1.2 x 5 x 3 m, paths 0.4 m", "what “3 m” measures"),
        ("6 beds of 120 x 500, paths 40 cm", "“120” without a unit is read as metres"),
        ("6 beds of 1.2 x 5 m, paths 40", "makes paths of 40 m"),
        ("2.5 beds of 1.2 x 5 m, paths 0.4 m", "“2.5” is no number of beds"),
        ("6 m beds of 1.2 x 5 m, paths 0.4 m", "“6 m” is no number of beds"),
        ("0 beds of 1.2 x 5 m, paths 0.4 m", "give 1 to 60"),
        ("600 beds of 1.2 x 5 m, paths 0.4 m", "give 1 to 60"),
        ("-6 beds of 1.2 x 5 m, paths 0.4 m", "“-6” is below nothing"),
        ("6 beds of 0 x 5 m, paths 0.4 m", "“0” is no side of a bed"),
        ("6 beds of 1.2 x 5 m, paths 0.4 m <b>", "“<” is not understood"),
        ("6 beds of 1.2 x m, paths 0.4 m", "“m” stands without a number"),
        ("9" * 201, "say it in 200"),
        ("6 beds of 2/3 x 5 m, paths 0.4 m", "“/” is not understood"),
        ("6 beds of 120 x 500 cm, paths 0.4", "“0.4” makes paths of 0.4 cm; give its unit"),
    ],
)
def test_a_misreading_says_what_was_expected(line: str, expected: str) -> None:
    with pytest.raises(BedRowFault) as fault:
        bed_row_read(line)

    assert expected in str(fault.value)
    assert str(fault.value).endswith("Write it like: 6 beds of 1.2 x 5 m, paths 0.4 m")


def test_a_line_with_slips_of_the_pen_is_read_or_answered_with_the_reason() -> None:
    """Of five thousand lines with words swapped nothing but a row or a reason may come."""
    slips = [
        "6", "1.2", "0,4", "×", "by", "m", "cm", "ft", "in", "'", "beds", "paths", "wide", "long", "six", "½",
        "²", "٣", "-1", ".", ",", "of", "1e9", "9" * 40, "NaN", "inf", "\x00", "—", "",
    ]  # fmt: skip
    chance = random.Random(8)
    read, said = 0, set()
    for _ in range(5000):
        words = ["6", "beds", "of", "1.2", "x", "5", "m", ",", "paths", "0.4", "m"]
        for _ in range(chance.randint(1, 3)):
            words[chance.randrange(len(words))] = chance.choice(slips)
        try:
            row = bed_row_read(" ".join(words))
        except BedRowFault as fault:
            said.add(str(fault).endswith("Write it like: 6 beds of 1.2 x 5 m, paths 0.4 m"))
        else:
            assert 1 <= row.count <= 60
            assert math.isfinite(row.breadth_m)
            read += 1
    assert 100 < read < 4900
    assert said == {True}


def test_the_row_is_said_back_with_what_it_takes() -> None:
    # 6 x 1.2 m and 5 x 0.4 m are 9.2 m.
    assert SIX.words == "6 beds, each 5 m long and 1.2 m wide, 0.4 m of path between: 9.2 m by 5 m in all."


@pytest.mark.parametrize("stands_away", [True, False])
@pytest.mark.parametrize("turn_deg", [0.0, 27.0])
def test_beds_are_equal_and_a_path_apart(stands_away: bool, turn_deg: float) -> None:
    outlines = row_outlines(
        PLOT, BedRow(3, 5.0, 1.2, 0.4), along_m=2, across_m=1, stands_away=stands_away, turn_deg=turn_deg
    )
    shapes = [polygon(each) for each in outlines]

    assert [shape.area for shape in shapes] == pytest.approx([6.0] * 3, abs=1e-3)
    assert [one.distance(two) for one, two in pairwise(shapes)] == pytest.approx([0.4, 0.4], abs=1e-3)
    assert all(math.dist(each[0], each[1]) == pytest.approx(5.0, abs=1e-3) for each in outlines)


def test_a_row_reaches_away_from_the_first_side_from_its_corner_on() -> None:
    first, second = row_outlines(
        PLOT, BedRow(2, 5.0, 1.2, 0.4), along_m=2, across_m=1, stands_away=True, turn_deg=0
    )

    assert polygon(first).bounds == pytest.approx((2, 1, 3.2, 6))
    assert polygon(second).bounds == pytest.approx((3.6, 1, 4.8, 6))


def test_a_turned_row_turns_about_its_corner() -> None:
    row = BedRow(1, 5.0, 1.0, 0.0)
    outline = row_outlines(PLOT, row, along_m=6, across_m=2, stands_away=False, turn_deg=90)[0]

    assert polygon(outline).bounds == pytest.approx((5, 2, 6, 7))


def test_names_take_the_lowest_free_numbers() -> None:
    assert names_free(3, ["bed 2", "Bed 4", "long bed"]) == ["bed 1", "bed 3", "bed 5"]


UNITS = {"m": 1.0, " metres": 1.0, "cm": 0.01, " mm": 0.001, " ft": FOOT, "'": FOOT, " in": INCH}


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # a busy machine is no fault
@given(
    count=st.integers(2, 60),
    width_cm=st.integers(30, 200),
    length_cm=st.integers(201, 2000),
    path_cm=st.integers(0, 150),
    units=st.lists(st.sampled_from(list(UNITS)), min_size=3, max_size=3),
    by=st.sampled_from([" x ", "×", " by "]),
    comma=st.booleans(),
)
def test_a_row_said_in_any_unit_is_the_same_row(
    count, width_cm, length_cm, path_cm, units, by, comma
) -> None:
    def said(cm: int, unit: str) -> str:
        number = f"{cm / 100 / UNITS[unit]:.6f}"
        return f"{number.replace('.', ',') if comma else number}{unit}"

    wide, long, path = (
        said(cm, unit) for cm, unit in zip((width_cm, length_cm, path_cm), units, strict=True)
    )

    for line in (
        f"{count} beds of {wide}{by}{long}, paths {path}",
        f"{path} paths, {count} beds {long}{by}{wide}",
    ):
        row = bed_row_read(line)
        assert row.count == count
        assert row.width_m == pytest.approx(width_cm / 100, abs=1e-3)
        assert row.length_m == pytest.approx(length_cm / 100, abs=1e-3)
        assert row.path_m == pytest.approx(path_cm / 100, abs=1e-3)
