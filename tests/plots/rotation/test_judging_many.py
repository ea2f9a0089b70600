"""Judging many at once gives to the last digit what judging one by one gives."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plots.rotation import Customs, GroundUse, Level, RestWish, Sighting, Wanted, judge, judge_many
from tests.plots.rotation.ground import box, use, wanted
from tests.plots.rotation.grounds import sightings

FAMILIES = {"carrot-early": "Apiaceae", "turnip": "Brassicaceae", "beetroot-early": "Amaranthaceae",
            "tomato": "Solanaceae", "sweetcorn": "Poaceae"}  # fmt: skip
CENTIMETRES = st.integers(-300, 600).map(lambda cm: cm / 100)
SIZES = st.integers(4, 400).map(lambda cm: cm / 100)
VESSELS = st.sampled_from(["", "", "", "tub"])


@st.composite
def boxes(draw: st.DrawFn) -> list[tuple[float, float]]:
    x, y = draw(CENTIMETRES), draw(CENTIMETRES)
    return box(x, y, x + draw(SIZES), y + draw(SIZES))


@st.composite
def uses(draw: st.DrawFn) -> GroundUse:
    crop, last = draw(st.sampled_from(sorted(FAMILIES))), draw(st.integers(2010, 2027))
    return GroundUse(
        str(draw(st.uuids())),
        draw(boxes()),
        crop,
        crop,
        FAMILIES[crop],
        last - draw(st.integers(0, 1)),
        last,
        coarse=draw(st.booleans()),
        is_root=draw(st.booleans()),
        failed=draw(st.booleans()),
        vessel=draw(VESSELS),
    )


@st.composite
def asked(draw: st.DrawFn) -> Wanted:
    crop = draw(st.sampled_from(sorted(FAMILIES)))
    key, season = str(draw(st.uuids())), draw(st.integers(2020, 2027))
    return Wanted(key, draw(boxes()), crop, crop, FAMILIES[crop], season, draw(st.booleans()), draw(VESSELS))


CUSTOMS = st.builds(
    Customs,
    rests=st.sampled_from([{}, {"Apiaceae": RestWish(6, 9)}, {"Brassicaceae": RestWish(0, 1, "new soil")}]),
    root_after_root=st.integers(0, 3),
    failed_counts=st.booleans(),
)


@settings(deadline=None)
@given(
    st.lists(asked(), max_size=6),
    st.lists(uses(), max_size=12),
    st.lists(sightings(), max_size=4),
    CUSTOMS,
    st.one_of(st.none(), st.integers(2005, 2024)),
)
def test_many_at_once_are_judged_as_one_by_one(
    wanted_: list[Wanted], past: list[GroundUse], seen: list[Sighting], customs: Customs, since: int | None
) -> None:
    one_by_one = [judge(each, past, record_since=since, sightings=seen, customs=customs) for each in wanted_]

    at_once = judge_many(wanted_, past, record_since=[since] * len(wanted_), sightings=seen, customs=customs)

    assert at_once == one_by_one


def test_each_has_a_record_of_its_own() -> None:
    levels = [each.level for each in judge_many([wanted(), wanted()], [], record_since=[2010, None])]

    assert levels == [Level.SOUND, Level.NO_RECORD]


def test_nothing_wanted_is_nothing_judged() -> None:
    assert judge_many([], [use(2024)], record_since=[]) == []


def test_a_record_for_each_is_asked_for() -> None:
    with pytest.raises(ValueError, match="record_since has 1 entries for 2"):
        judge_many([wanted(), wanted()], [], record_since=[2010])
