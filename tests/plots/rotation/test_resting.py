"""What ground still rests from, rule by rule: the family's own rest, a problem seen, root after root."""

import pytest

from plots.outlines import rectangle
from plots.rotation import Customs, GroundUse, RestWish, Sighting, problems, rest_rules, resting

BED = rectangle((0.0, 0.0), length_m=5, width_m=1.2)
ASIDE = rectangle((0.0, 5.0), length_m=5, width_m=1.2)
SEASON = 2027


def use(family: str, last: int, **fields: object) -> GroundUse:
    values = {"outline": BED, "crop_key": "", "crop_name": "something", **fields}
    return GroundUse(f"{family}-{last}", family=family, first_season=last, last_season=last, **values)


def seen(problem: str, season: int, **fields: object) -> Sighting:
    values = {"outline": BED, "is_sure": True, **fields}
    return Sighting(f"{problem}-{season}", problem=problem, season=season, **values)


def told(*args: object, **known: object) -> list[tuple[str, str, int, bool]]:
    rests = resting(BED, SEASON, list(args), **known)
    return [(each.claim, each.group, each.free_from, each.is_possible) for each in rests]


def test_nothing_on_record_rests_from_nothing() -> None:
    assert told() == []


def test_a_family_rests_for_what_is_recommended_and_a_season_of_its_own() -> None:
    rest = rest_rules()["Brassicaceae"].recommended_seasons
    assert told(use("Brassicaceae", 2025)) == [("family", "Brassicaceae", 2025 + rest + 1, False)]
    assert told(use("Brassicaceae", 2025, outline=ASIDE)) == []


def test_a_family_without_a_published_rest_rests_from_nothing() -> None:
    assert told(use("Boraginaceae", 2026)) == []


@pytest.mark.parametrize("is_sure", [True, False])
def test_a_problem_seen_lengthens_the_rest_of_its_family(is_sure: bool) -> None:
    """Clubroot: 7 years without a susceptible crop (University of Connecticut IPM)."""
    assert problems()["clubroot"].rest.recommended_seasons == 7
    rests = told(use("Brassicaceae", 2022), sightings=[seen("clubroot", 2022, is_sure=is_sure)])
    assert rests == [
        ("problem", "clubroot", 2030, not is_sure),
        ("family", "Brassicaceae", 2028, False),
    ]


def test_a_problem_of_single_crops_rests_those_only() -> None:
    """Cavity spot: a 3- to 4-year rotation for carrots (UC IPM), so three seasons between."""
    assert told(sightings=[seen("cavity-spot", 2025)]) == [("problem", "cavity-spot", 2029, False)]


def test_a_host_grown_since_begins_the_rest_anew() -> None:
    rests = told(use("Brassicaceae", 2026), sightings=[seen("beet-cyst-nematode", 2020)])
    assert ("problem", "beet-cyst-nematode", 2032, False) in rests


def test_a_problem_outlined_elsewhere_says_nothing_here() -> None:
    assert told(sightings=[seen("clubroot", 2025, outline=ASIDE)]) == []


def test_mix_and_ground_have_no_past_in_common() -> None:
    in_the_mix = use("Apiaceae", 2026, vessel="bed-1")
    assert told(in_the_mix) == []
    assert [each[1] for each in told(in_the_mix, vessel="bed-1")] == ["Apiaceae"]
    assert told(sightings=[seen("clubroot", 2025)], vessel="bed-1") == []


def test_the_societys_own_rules_hold() -> None:
    longer = Customs(rests={"Apiaceae": RestWish(3, 9)})
    assert told(use("Apiaceae", 2020), customs=longer) == [("family", "Apiaceae", 2030, False)]
    roots = Customs(root_after_root=1)
    assert ("roots", "roots", 2028, False) in told(use("Amaranthaceae", 2026, is_root=True), customs=roots)
    failed = Customs(failed_counts=False)
    assert told(use("Apiaceae", 2026, failed=True), customs=failed) == []
