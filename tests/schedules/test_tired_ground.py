"""Ground that carried the family the season before: by polygons, not by the boxes round them."""

from datetime import date

import pytest

from plots.models import Sowing
from plots.outlines import rectangle
from schedules.tired_ground import family_last_season, tired_sowings
from tests import factories as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=date(2024, 1, 1))


def tired(*sowings: Sowing) -> set[int]:
    """Both ways of asking, which must agree."""
    found = tired_sowings(sowings[0].patch.site, [sowing.pk for sowing in sowings])
    assert family_last_season(sowings) == found
    return found


@pytest.mark.parametrize(
    ("crop", "season", "state", "is_tired"),
    [
        ("parsnip", 2026, "lifted", True),
        ("parsnip", 2026, "planned", False),  # what nobody sowed fed no fly
        ("parsnip", 2025, "lifted", False),
        ("onion-sets", 2026, "lifted", False),
    ],
)
def test_the_same_ground(cast: make.Cast, crop: str, season: int, state: str, is_tired: bool) -> None:
    make.make_sowing(cast.bed, crop, season=season, state=state)
    now, elsewhere = (make.make_sowing(bed, season=2027) for bed in (cast.bed, cast.other_bed))
    assert tired(now, elsewhere) == ({now.pk} if is_tired else set())


def test_boxes_that_meet_are_no_shared_ground(cast: make.Cast) -> None:
    """Two strips side by side at an angle: their boxes overlap by far, they themselves by an edge."""
    strips = [
        rectangle((10.0 + move * 0.7071, 10.0 - move * 0.7071), length_m=6.0, width_m=1.0, angle_deg=45.0)
        for move in (0.0, 1.0, 0.5)
    ]
    make.make_sowing(cast.bed, "parsnip", season=2026, state="lifted", outline=strips[0])
    beside = make.make_sowing(cast.bed, season=2027, outline=strips[1])
    across = make.make_sowing(cast.bed, season=2027, outline=strips[2])
    assert tired(beside, across) == {across.pk}
