"""Poles, feet and inches against figures that others printed.

The yard is 0.9144 m exactly: Weights and Measures Act 1985, section 1 (from memory).
All expected figures are arithmetic from that or stand in the sources named beside them.
"""

import pytest

from plots.measures import area_m2, area_words, feet_and_inches, length_words, poles

YARD = "arithmetic with 1 yd = 0.9144 m: 30.25 sq yd"
SOCIETIES = "several allotment societies' pages: a full plot of 10 poles is 302.5 sq yd, 252.93 m²"
MEMORANDUM = "arithmetic for the 40 poles of the Allotments Act 1922 s.22(1): 1210 sq yd"
SOUTH_WEST = "South West Counties allotment association: 160 poles to the acre; 4840 sq yd"


@pytest.mark.parametrize(
    ("square_poles", "expected_m2", "source"),
    [
        (1, 25.2929, YARD),
        (10, 252.93, SOCIETIES),
        (40, 1011.71, MEMORANDUM),
        (160, 4046.86, SOUTH_WEST),
    ],
)
def test_poles_are_the_square_metres_that_others_print(
    square_poles: float, expected_m2: float, source: str
) -> None:
    decimals = len(str(expected_m2).split(".")[1])
    assert round(area_m2(square_poles), decimals) == expected_m2, source


def test_a_modern_full_plot_is_about_ten_poles() -> None:
    # National Allotment Society statement: a full plot today is 250 m².
    assert poles(250) == pytest.approx(10, rel=0.02)
    assert area_words(250) == "250 m², about 10 poles"


@pytest.mark.parametrize(
    ("length_m", "expected"),
    [
        (0.9144, (3, 0)),  # 1 yd, by its definition
        (0.3048, (1, 0)),  # a third of it
        (5.0292, (16, 6)),  # 1 pole = 5.5 yd: an Oxford allotment association's page
        (1.2192, (4, 0)),  # 4 ft
    ],
)
def test_feet_are_thirds_of_the_yard(length_m: float, expected: tuple[int, int]) -> None:
    assert feet_and_inches(length_m) == expected


def test_twelve_inches_are_a_foot_more() -> None:
    assert length_words(0.3040, "imperial") == "1 ft"
