"""What must hold for any ground and any past."""

import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon
from shapely.ops import split

from plots.rotation import GroundUse, Level, Sighting, Verdict, Wanted, judge
from tests.plots.rotation.ground import box, use, wanted
from tests.plots.rotation.grounds import sightings

SEASONS = st.integers(2012, 2027)
# Whole centimetres, so that no case lies on the edge of the tolerance by a rounding error alone.
CENTIMETRES = st.integers(-300, 300).map(lambda cm: cm / 100)
SIZES = st.integers(10, 400).map(lambda cm: cm / 100)


@st.composite
def uses(draw: st.DrawFn) -> GroundUse:
    x, y, last = draw(CENTIMETRES), draw(CENTIMETRES), draw(SEASONS)
    outline = box(x, y, x + draw(SIZES), y + draw(SIZES))
    key, coarse = str(draw(st.uuids())), draw(st.booleans())
    return use(last, on=outline, first=last - draw(st.integers(0, 1)), coarse=coarse, key=key)


SEEN = st.lists(sightings(), max_size=3)
PASTS = st.lists(uses(), max_size=5)
RECORDS = st.one_of(st.none(), st.integers(2014, 2026))


def moved(outline: Polygon, angle: float, east_m: float, north_m: float) -> Polygon:
    cos, sin = math.cos(angle), math.sin(angle)
    return affine_transform(outline, [cos, -sin, sin, cos, east_m, north_m])


def on(use_: GroundUse, outline: Polygon, key: str = "") -> GroundUse:
    return GroundUse(
        key or use_.key,
        outline,
        use_.crop_key,
        use_.crop_name,
        use_.family,
        use_.first_season,
        use_.last_season,
        use_.coarse,
    )


def assert_same(one: Verdict, other: Verdict) -> None:
    assert (one.level, one.free_from_season) == (other.level, other.free_from_season)
    assert math.isclose(one.area_m2, other.area_m2, abs_tol=1e-6)
    assert one.values["seasons_between"] == other.values["seasons_between"]


@settings(deadline=None)
@given(PASTS, uses(), RECORDS, SEEN)
def test_more_history_never_improves_a_verdict(
    past: list[GroundUse], more: GroundUse, since: int | None, seen: list[Sighting]
) -> None:
    before = judge(wanted(), past, record_since=since, sightings=seen)
    after = judge(wanted(), [*past, more], record_since=since, sightings=seen)

    assert after.level.severity >= before.level.severity
    if after.level is before.level:
        assert after.area_m2 >= before.area_m2 - 1e-9


@settings(deadline=None)
@given(PASTS, RECORDS, SEEN, sightings())
def test_one_more_sighting_never_improves_a_verdict(
    past: list[GroundUse], since: int | None, seen: list[Sighting], more: Sighting
) -> None:
    before = judge(wanted(), past, record_since=since, sightings=seen)
    after = judge(wanted(), past, record_since=since, sightings=[*seen, more])

    assert after.level.severity >= before.level.severity
    if after.level is before.level:
        assert after.area_m2 >= before.area_m2 - 1e-9
    assert (after.free_from_season or 0) >= (before.free_from_season or 0)


@settings(deadline=None)
@given(PASTS, RECORDS, st.floats(0, 2 * math.pi), st.floats(-500, 500), st.floats(-500, 500), SEEN)
def test_moving_ground_and_history_together_changes_nothing(
    past: list[GroundUse],
    since: int | None,
    angle: float,
    east_m: float,
    north_m: float,
    seen: list[Sighting],
) -> None:
    here = wanted()
    there = Wanted("wanted", moved(here.polygon, angle, east_m, north_m), "c", "C", here.family, here.season)
    past_there = [on(each, moved(each.polygon, angle, east_m, north_m)) for each in past]

    seen_there = [replace(each, outline=moved(each.polygon, angle, east_m, north_m)) for each in seen]

    assert_same(
        judge(here, past, record_since=since, sightings=seen),
        judge(there, past_there, record_since=since, sightings=seen_there),
    )


@settings(deadline=None)
@given(PASTS.filter(bool), RECORDS, st.floats(0, math.pi), SEEN)
def test_splitting_a_past_patch_changes_nothing(
    past: list[GroundUse], since: int | None, angle: float, seen: list[Sighting]
) -> None:
    first, *others = past
    middle = first.polygon.centroid
    reach_x, reach_y = 20 * math.cos(angle), 20 * math.sin(angle)
    cut = LineString([(middle.x - reach_x, middle.y - reach_y), (middle.x + reach_x, middle.y + reach_y)])
    halves = [on(first, part, f"half-{n}") for n, part in enumerate(split(first.polygon, cut).geoms)]

    whole = judge(wanted(), past, record_since=since, sightings=seen)
    assert_same(whole, judge(wanted(), [*halves, *others], record_since=since, sightings=seen))


@settings(deadline=None)
@given(PASTS, RECORDS)
def test_the_order_of_the_record_changes_nothing(past: list[GroundUse], since: int | None) -> None:
    assert_same(judge(wanted(), past, record_since=since), judge(wanted(), past[::-1], record_since=since))


@settings(deadline=None)
@given(PASTS.map(lambda past: [each for each in past if each.first_season <= 2025]), st.integers(2014, 2026))
def test_ground_is_sound_in_its_free_from_season_and_not_the_season_before(
    past: list[GroundUse], since: int
) -> None:
    free_from = judge(wanted(2025), past, record_since=since).free_from_season
    if free_from is None:
        return

    assert judge(wanted(free_from), past, record_since=since).level is Level.SOUND
    if free_from > 2025:
        assert judge(wanted(free_from - 1), past, record_since=since).level is not Level.SOUND
