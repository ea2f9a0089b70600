"""From wishes and a ground record to a kept proposal."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from plots.crops import crop as crop_of
from plots.ground_event_services import ground_event_add
from plots.ground_places import whole_bed
from plots.layout_dressings import felt_until, shuns
from plots.layout_services import (
    PlaceLine,
    Wanted,
    WishLine,
    layout_ask_save,
    layout_changed,
    layout_propose,
    layout_propose_other,
    question_of,
)
from plots.models import LayoutProposal
from plots.rotation.proposals import answer_from
from tests import factories

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 1, 12, 8, tzinfo=UTC)
SINCE = date(2000, 1, 1)


@pytest.fixture
def cast():
    """Plot 7 with three beds of 6 m² and a record of 27 years."""
    made = factories.make_cast(since=SINCE, normals=False)
    for number in (2, 3):
        factories.make_bed(made.plot, f"bed {number}", since=SINCE, corner=(1.0, 1.0 + 2 * (number - 1)))
    return made


def wish(crop: str, area_m2: float = 6.0, *, seasons: int = 1, **fields: Any) -> WishLine:
    return WishLine(crop, {2027 + number: area_m2 for number in range(seasons)}, **fields)


def ask(cast, *lines: WishLine, seasons: int = 1, version=None, **fields: Any):
    wanted = Wanted(2027, seasons, lines, **fields)
    return layout_ask_save(plot=cast.plot, wanted=wanted, version=version, account=cast.ana_account, now=NOW)


def proposed(cast) -> LayoutProposal:
    return layout_propose(plot=cast.plot, member=cast.ana, now=NOW)


def places(proposal: LayoutProposal) -> dict[str, set[str]]:
    names = {piece[0]: piece[1] for piece in proposal.problem["pieces"]}
    found: dict[str, set[str]] = {}
    for share in answer_from(proposal.answer).shares:
        found.setdefault(share.wish, set()).add(names[share.piece])
    return found


def test_a_family_keeps_off_ground_that_rests_from_it(cast):
    lifted = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 9, 1)}
    for bed in cast.plot.beds.exclude(name="bed 3"):
        factories.make_sowing(bed, "parsnip", season=2026, **lifted)
    ask(cast, wish("carrot-early"))
    found = proposed(cast)
    assert places(found) == {"2027:carrot-early": {"bed 3"}}
    assert found.is_proven
    assert found.cost == 0


def dressed(cast, bed, on: date, kind: str) -> None:
    ground_event_add(place=whole_bed(bed), kind=kind, on=on, member=cast.ana, account=None, now=NOW)


@pytest.mark.parametrize(
    ("crop", "kind", "is_kept_off"),
    [
        ("carrot-early", "manure_fresh", True),
        ("carrot-early", "lime", False),
        ("potato-early", "lime", True),
        ("potato-early", "manure_fresh", False),
        ("carrot-early", "manure_rotted", False),
    ],
)
def test_roots_do_not_follow_fresh_manure_nor_potatoes_lime(cast, crop, kind, is_kept_off):
    """Common practice, no published source."""
    for bed in cast.plot.beds.exclude(name="bed 2"):
        dressed(cast, bed, date(2026, 11, 1), kind)
    ask(cast, wish(crop, 18.0))
    got = places(proposed(cast))[f"2027:{crop}"]
    assert got == ({"bed 2"} if is_kept_off else {"bed 1", "bed 2", "bed 3"})


@pytest.mark.parametrize(
    ("latitude", "month", "on", "until"),
    [
        (52, 1, date(2027, 3, 1), 2027),
        (52, 1, date(2027, 11, 1), 2028),
        (-38, 7, date(2027, 8, 15), 2027),  # late winter before the southern spring of season 2027
        (-38, 7, date(2028, 3, 1), 2028),  # autumn of the same season: felt through the next
    ],
)
def test_manure_of_after_midsummer_is_felt_through_the_next_season(cast, latitude, month, on, until):
    cast.site.latitude, cast.site.season_month = latitude, month
    assert felt_until(cast.site, on) == until


def test_only_roots_that_are_sown_in_place_shun_manure():
    assert shuns(crop_of("parsnip")) == {"manure"}
    assert shuns(crop_of("celeriac")) == frozenset()
    assert shuns(crop_of("potato-maincrop")) == {"lime"}


def test_what_is_planned_already_keeps_its_ground(cast):
    factories.make_sowing(cast.bed, "pea", season=2027)
    ask(cast, wish("carrot-early", 18.0))
    found = proposed(cast)
    assert places(found)["2027:carrot-early"] == {"bed 2", "bed 3"}
    assert answer_from(found.answer).missing_m2("2027:carrot-early") == pytest.approx(6.0, abs=0.01)


def test_what_is_planned_already_counts_towards_its_wish(cast):
    """Of 8 m² of peas 6 are planned on bed 1; last year's, and next year's, count for other seasons."""
    factories.make_sowing(cast.bed, "pea", season=2027)
    ask(cast, wish("pea", 8.0), wish("carrot-early", 4.0))
    found = proposed(cast)
    got = {
        share.wish: share.area_m2 for share in answer_from(found.answer).shares if share.wish[:4] == "2027"
    }
    assert got == pytest.approx({"2027:pea": 2.0, "2027:carrot-early": 4.0}, abs=1e-3)


def test_nothing_is_proposed_where_all_of_it_is_planned(cast):
    factories.make_sowing(cast.bed, "pea", season=2027)
    ask(cast, wish("pea", 6.0))
    with pytest.raises(ValidationError, match="planned or sown on this plot already"):
        proposed(cast)


def test_likes_and_settled_places_are_heeded(cast):
    beds = {bed.name: bed.pk for bed in cast.plot.beds.all()}
    ask(
        cast, wish("carrot-early"), wish("pea"),
        places=[
            PlaceLine("carrot-early", beds["bed 3"], 0, "likes"),
            PlaceLine("pea", beds["bed 2"], 0, "settled", 2027),
        ],
    )  # fmt: skip
    assert places(proposed(cast)) == {"2027:carrot-early": {"bed 3"}, "2027:pea": {"bed 2"}}


def test_beds_can_be_divided_into_strips(cast):
    ask(cast, wish("carrot-early", 2.0), divisions={cast.bed.pk: 3})
    problem = question_of(cast.plot, now=NOW).problem
    assert [piece.name for piece in problem.pieces] == [
        "bed 1, strip 1", "bed 1, strip 2", "bed 1, strip 3", "bed 2", "bed 3",
    ]  # fmt: skip
    assert [piece.area_m2 for piece in problem.pieces[:3]] == pytest.approx([2.0] * 3, abs=1e-3)


def test_the_same_question_has_one_answer(cast):
    ask(cast, wish("carrot-early"))
    first = proposed(cast)
    assert proposed(cast) == first
    assert LayoutProposal.objects.count() == 1
    factories.make_sowing(cast.bed, "pea", season=2027)
    assert proposed(cast) != first


def test_a_second_layout_differs_and_is_made_once(cast):
    ask(cast, wish("carrot-early"), wish("pea"))
    first = proposed(cast)
    second = layout_propose_other(first=first, member=None, now=NOW)
    assert places(second) != places(first)
    assert layout_propose_other(first=first, member=None, now=NOW) == second


def test_an_impossible_wish_names_what_is_in_its_way(cast):
    ask(cast, wish("carrot-early", 18.0, seasons=2), seasons=2)
    _, answer = layout_changed(proposed(cast), piece=str(cast.bed.pk), season=2027, wish=None)
    assert any(trouble.kind == "missing" for trouble in answer.troubles)


@pytest.mark.parametrize(
    ("lines", "fields", "said"),
    [
        ([WishLine("nothing", {2027: 1.0})], {}, "row 1"),
        ([wish("pea"), wish("pea")], {}, "row 2: Pea stands twice"),
        ([wish("asparagus")], {}, "row 1: Asparagus keeps its ground for years"),
        ([wish("pea", -1.0)], {}, "row 1: give each amount above 0"),
        ([wish("pea")], {"seasons": 7}, "1 to 6 seasons"),
        ([wish("pea")], {"divisions": {999: 2}}, "strips"),
        ([wish("pea")], {"places": [PlaceLine("pea", 999, 0, "likes")]}, "row 1: choose a bed"),
    ],
)
def test_what_cannot_be_is_refused_by_row_and_nothing_is_kept(cast, lines, fields, said):
    with pytest.raises(ValidationError, match=said):
        ask(cast, *lines, **fields)
    assert not hasattr(cast.plot, "layout_ask")


def test_wishes_that_somebody_else_changed_are_refused(cast):
    row = ask(cast, wish("pea"))
    ask(cast, wish("pea", 3.0), version=row.version)
    with pytest.raises(ValidationError, match="changed by somebody else"):
        ask(cast, wish("pea"), version=row.version)


def test_the_number_of_queries_does_not_grow_with_beds_and_years(cast, django_assert_max_num_queries):
    for bed in cast.plot.beds.all():
        for season in range(2010, 2027):
            factories.make_sowing(bed, "pea", season=season, state="lifted")
    ask(cast, wish("carrot-early", seasons=6), wish("leek", seasons=6), seasons=6)
    with django_assert_max_num_queries(16):
        question_of(cast.plot, now=NOW)
