"""Taped lengths give the ground back. Expected values come from plane geometry, worked out beside them."""

import math
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon
from shapely.affinity import rotate

from plots.surveying import LARGEST_SHARE, SurveyFault, placed, survey, survey_words


def taped(corners, *diagonals):
    """Every side and these diagonals of a known shape, as a tape would give them."""
    count = len(corners)
    ends = [(at, at % count + 1) for at in range(1, count + 1)] + list(diagonals)
    return {(one, other): math.dist(corners[one - 1], corners[other - 1]) for one, other in ends}


def same_form(found, corners):
    """Every distance between corners, which says the form up to its place and turn."""
    return [math.dist(a, b) for a in found for b in found] == pytest.approx(
        [math.dist(a, b) for a in corners for b in corners], abs=1e-6
    )


def test_a_quadrilateral_by_the_law_of_cosines():
    """Sides 20, 9, 18, 10 and the diagonal 1-3 of 22 m. At corner 1, cos of the angle to 2 is
    (20² + 22² - 9²) / (2·20·22) = 803/880, and of the angle from there to 4 (22² + 10² - 18²) / (2·22·10) =
    260/440. Area by Heron for both triangles (Euclid, Elements II.12-13 for the cosines)."""
    found = survey(4, {(1, 2): 20, (2, 3): 9, (3, 4): 18, (4, 1): 10, (1, 3): 22})

    to_three, to_four = math.acos(803 / 880), math.acos(803 / 880) + math.acos(260 / 440)
    assert found.corners[2] == pytest.approx((22 * math.cos(to_three), 22 * math.sin(to_three)))
    assert found.corners[3] == pytest.approx((10 * math.cos(to_four), 10 * math.sin(to_four)))
    heron = sum(
        math.sqrt(s * (s - a) * (s - b) * (s - c))
        for a, b, c in ((20, 9, 22), (22, 18, 10))
        for s in ((a + b + c) / 2,)
    )
    assert Polygon(found.corners).area == pytest.approx(heron)
    assert found.misclosure_m is None
    assert "nothing to check" in survey_words(found)


sides = st.floats(3, 60)
bends = st.floats(-0.35, 0.35)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # a busy machine is no fault
@given(sides, sides, bends, bends, bends, bends)
def test_a_known_quadrilateral_measured_gives_itself_back(long, wide, a, b, c, d):
    corners = [(0, 0), (long, wide * a), (long * (1 + b), wide * (1 + c)), (long * d, wide)]

    found = survey(4, taped(corners, (1, 3), (2, 4)))

    assert same_form(found.corners, corners)
    assert found.checks == 1
    assert found.misclosure_m == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("count", [3, 5, 7, 10])
def test_a_regular_polygon_with_a_fan_of_diagonals_gives_itself_back(count):
    corners = [(9 * math.cos(math.tau * k / count), 9 * math.sin(math.tau * k / count)) for k in range(count)]

    found = survey(count, taped(corners, *((1, other) for other in range(3, count))))

    assert same_form(found.corners, corners)


def test_an_l_shape_with_its_notch_gives_itself_back():
    corners = [(0, 0), (20, 0), (20, 5), (8, 5), (8, 12), (0, 12)]

    found = survey(6, taped(corners, (1, 3), (1, 4), (1, 5), (2, 4), (4, 6)))

    assert same_form(found.corners, corners)


def test_a_dent_is_found_where_both_diagonals_are_taped():
    """Corner 2 is pushed in past the line from 1 to 3, so that diagonal lies outside the ground."""
    corners = [(0, 0), (10, 4), (20, 0), (10, 15)]

    assert same_form(survey(4, taped(corners, (1, 3), (2, 4))).corners, corners)


def test_walked_clockwise_it_lies_on_the_other_hand():
    corners = [(0, 0), (0, 8), (20, 9), (20, 0)]
    found = survey(4, taped(corners, (1, 3)), clockwise=True)

    assert not Polygon(found.corners).exterior.is_ccw
    assert Polygon(found.corners).area == pytest.approx(Polygon(corners).area)


@pytest.mark.parametrize("noise_m", [0.01, 0.05])
def test_noise_gives_a_misclosure_of_its_size(noise_m):
    """Over many surveys the mean square misclosure is the variance of one length: chi-square over its
    degrees of freedom has mean 1, and with 400 surveys of 6 checks a standard error of sqrt(2/2400) = 3 %."""
    corners = [(0, 0), (20, 1), (24, 9), (11, 14), (-2, 8)]
    ends = [(1, 3), (1, 4), (2, 4), (2, 5), (3, 5)]
    chance = random.Random(7)
    squares = []
    for _ in range(400):
        lengths = {each: length + chance.gauss(0, noise_m) for each, length in taped(corners, *ends).items()}
        found = survey(5, lengths)
        squares.append((found.misclosure_m or 0) ** 2)

    assert found.checks == 3
    assert math.sqrt(sum(squares) / len(squares)) == pytest.approx(noise_m, rel=0.1)


def test_a_slip_of_the_tape_is_refused_and_named():
    lengths = taped([(0, 0), (20, 1), (24, 9), (11, 14), (-2, 8)], (1, 3), (1, 4), (2, 4), (2, 5), (3, 5))

    with pytest.raises(SurveyFault, match="corners 2 and 4 it fits worst") as fault:
        survey(5, lengths | {(2, 4): lengths[2, 4] + 2})

    assert fault.value.ends == (2, 4)
    assert "one part in 200" in str(fault.value)


def test_the_share_decides():
    """Two diagonals of a 4 by 3 rectangle both read too long by the same: the sides must give. Allowed is
    1/200 of 14 m = 7 cm of misclosure."""
    rectangle = taped([(0, 0), (4, 0), (4, 3), (0, 3)], (1, 3), (2, 4))
    survey(4, {**rectangle, (1, 3): 5.05})

    with pytest.raises(SurveyFault, match="more than 7\\.0 cm"):
        survey(4, {**rectangle, (1, 3): 5.6})
    assert pytest.approx(0.07) == LARGEST_SHARE * 14


@pytest.mark.parametrize(
    ("count", "lengths", "words"),
    [
        (4, {(1, 2): 5, (2, 3): 5, (3, 4): 5, (1, 4): 5}, "one more diagonal needed"),
        (5, {(1, 2): 5, (2, 3): 5, (3, 4): 5, (4, 5): 5, (1, 5): 5}, "2 more diagonals needed"),
        (3, {(1, 2): 5, (2, 3): 5}, "side between corners 1 and 3 is missing"),
        (3, {(1, 2): 5, (2, 3): 5, (1, 3): 11}, "no triangle"),
        (3, {(1, 2): 5, (2, 3): 5, (1, 3): 0}, "no length"),
        (3, {(1, 2): 5, (2, 1): 5, (2, 3): 5, (1, 3): 5}, "stands twice"),
        (3, {(1, 2): 5, (2, 3): 5, (1, 4): 5}, "no two corners"),
        (2, {(1, 2): 5}, "3 to 10 corners"),
        (3, {(1, 2): 5, (2, 3): float("nan"), (1, 3): 5}, "no length"),
    ],
)
def test_what_makes_no_ground_is_refused_with_a_remedy(count, lengths, words):
    with pytest.raises(SurveyFault, match=words):
        survey(count, lengths)


def test_the_form_is_put_in_its_place_and_turned():
    found = placed([(0, 0), (4, 0), (4, 3)], corner=(10, 20), angle_deg=30)
    turned = rotate(Polygon([(0, 0), (4, 0), (4, 3)]), 30, origin=(0, 0))

    assert [(x - 10, y - 20) for x, y in found] == pytest.approx(
        [pytest.approx(each, abs=1e-4) for each in turned.exterior.coords[:3]]
    )
