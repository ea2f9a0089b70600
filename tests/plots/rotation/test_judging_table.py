"""Cases worked by hand: a 4.0 × 1.2 m bed (4.8 m²) wanted in 2025, on record since 2010 unless said."""

from dataclasses import dataclass, field

import pytest

from plots.rotation import GroundUse, Level, Wanted, judge
from tests.plots.rotation.ground import BED, BEET, ONION, POTATO, box, use, wanted


@dataclass(frozen=True)
class Case:
    why: str
    past: list[GroundUse]
    level: str
    area_m2: float = 0.0
    free_from: int | None = None
    since: int | None = 2010
    want: Wanted = field(default_factory=wanted)


TUB = box(0, 0, 0.4, 0.4)

CASES = [
    # How many seasons: 3 are the minimum for the carrot family, 5 recommended.
    Case("carrots last year: nothing between", [use(2024)], "broken", 4.8, 2030),
    Case("2023 and 2024 lie between, 3 are needed", [use(2022)], "broken", 4.8, 2028),
    Case("2022, 2023 and 2024 lie between: the minimum, not the 5", [use(2021)], "short", 4.8, 2027),
    Case("four between, one under the recommended", [use(2020)], "short", 4.8, 2026),
    Case("2020 to 2024 lie between: five, enough", [use(2019)], "sound"),
    Case("a second crop of the family in the same season", [use(2025)], "broken", 4.8, 2031),
    Case("sown 2021, stood until 2022: that counts", [use(2022, first=2021)], "broken", 4.8, 2028),
    Case("still standing from last year in the wanted season", [use(2025, first=2024)], "broken", 4.8, 2031),
    Case("a crop planned for 2026 is no past of 2025", [use(2026)], "sound"),
    Case("a bare ground with a long record", [], "sound"),
    # Which family.
    Case("beetroot last year is another family", [use(2024, family=BEET)], "sound"),
    Case("onions: two between, not the 3 recommended", [use(2022, family=ONION)], "short", 4.8, 2026,
         want=wanted(family=ONION)),
    Case("onions: one between is under 2", [use(2023, family=ONION)], "broken", 4.8, 2027,
         want=wanted(family=ONION)),
    Case("potatoes: four between are the recommended 4", [use(2020, family=POTATO)], "sound",
         want=wanted(family=POTATO)),
    Case("beetroot: five between are enough", [use(2019, family=BEET)], "sound", want=wanted(family=BEET)),
    Case("turnips after two seasons without the cabbage family", [use(2022, family="Brassicaceae")], "broken",
         4.8, 2028, want=wanted(family="Brassicaceae")),
    Case("beans: three between are under 4", [use(2021, family="Fabaceae")], "broken", 4.8, 2026,
         want=wanted(family="Fabaceae")),
    Case("lettuce: two between are enough", [use(2022, family="Asteraceae")], "sound",
         want=wanted(family="Asteraceae")),
    Case("sweetcorn has no rest on file, and unknown never reads as rested", [], "no record",
         want=wanted(family="Poaceae")),
    # Which ground.
    Case("carrots on the next bed", [use(2024, on=box(0, 1.6, 4, 2.8))], "sound"),
    Case("beds that share an edge share no ground", [use(2024, on=box(0, 1.2, 4, 2.4))], "sound"),
    Case("a quarter of the bed: 1.0 × 1.2 m", [use(2024, on=box(3, 0, 7, 1.2))], "broken", 1.2, 2030),
    Case("an old bed re-dug at right angles: 1.2 × 1.2 m in common", [use(2022, on=box(1, -3, 2.2, 4))],
         "broken", 1.44, 2028),
    Case("half last year, half in 2020: only the first half breaks the minimum",
         [use(2024, on=box(0, 0, 2, 1.2)), use(2020, on=box(2, 0, 4, 1.2))], "broken", 2.4, 2030),
    Case("half in 2021, half in 2020: both under the recommended",
         [use(2021, on=box(0, 0, 2, 1.2)), use(2020, on=box(2, 0, 4, 1.2))], "short", 4.8, 2027),
    Case("the same ground twice counts its area once", [use(2021), use(2020)], "short", 4.8, 2027),
    # The tolerance.
    Case("a strip 4 cm wide along the bed is the tape's doing", [use(2024, on=box(0, -1, 4, 0.04))], "sound"),
    Case("a strip of exactly 5 cm counts: 0.20 m²", [use(2024, on=box(0, -1, 4, 0.05))], "broken", 0.2, 2030),
    Case("two 4 cm strips make one of 8 cm, until the older is rested in 2029 and one of 4 cm is left",
         [use(2024, on=box(0, 0, 4, 0.04)), use(2023, on=box(0, 0.04, 4, 0.08))], "broken", 0.32, 2029),
    Case("0.2 × 0.2 m is under 0.05 m² and under 5 %", [use(2024, on=box(-1, -1, 0.2, 0.2))], "sound"),
    Case("0.3 × 0.3 m is over 0.05 m²", [use(2024, on=box(-1, -1, 0.3, 0.3))], "broken", 0.09, 2030),
    Case("0.04 m² is a quarter of a small tub", [use(2024, on=box(0.2, 0.2, 1, 1))], "broken", 0.04, 2030,
         want=wanted(on=TUB)),
    # What is not known.
    Case("no record at all", [], "no record", since=None),
    Case("on record since 2022: three of five seasons", [], "no record", free_from=2027, since=2022),
    Case("on record for four seasons", [], "no record", free_from=2026, since=2021),
    Case("on record for exactly the five seasons asked", [], "sound", since=2020),
    Case("a short record that already shows carrots last year", [use(2024)], "broken", 4.8, 2030, since=2023),
    Case("a short record that shows carrots four seasons ago", [use(2021)], "short", 4.8, 2027, since=2021),
    Case("no full record, but one crop is remembered", [use(2023)], "broken", 4.8, 2029, since=None),
    Case("a coarse record of the whole plot may overlap", [use(2023, on=box(-5, -5, 9, 9), coarse=True)],
         "possible", 4.8, 2029),
    Case("a coarse record older than the rest", [use(2019, coarse=True)], "sound"),
    Case("a coarse record never accuses: the certain crop of 2020 gives the level",
         [use(2020), use(2024, on=box(-5, -5, 9, 9), coarse=True)], "short", 4.8, 2030),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.why)
def test_a_case_worked_by_hand(case: Case) -> None:
    verdict = judge(case.want, case.past, record_since=case.since)

    assert verdict.level == case.level
    assert verdict.area_m2 == pytest.approx(case.area_m2, abs=1e-9)
    assert verdict.free_from_season == case.free_from


def test_the_wanted_sowing_is_not_its_own_past() -> None:
    itself = use(2025, key="wanted")

    assert judge(wanted(), [itself], record_since=2010).level is Level.SOUND


def test_a_verdict_lists_earlier_patches_newest_first() -> None:
    past = [use(2020, on=box(2, 0, 4, 1.2), key="old"), use(2021, on=box(0, 0, 2, 1.2), key="new")]

    overlaps = judge(wanted(), past, record_since=2010).overlaps

    assert [(each.key, each.seasons_between) for each in overlaps] == [("new", 3), ("old", 4)]
    assert [each.share for each in overlaps] == pytest.approx([0.5, 0.5])


def test_a_sliver_of_last_year_does_not_shorten_the_rest_of_the_bed() -> None:
    past = [use(2024, on=box(0, 0, 4, 0.03)), use(2021)]

    verdict = judge(wanted(), past, record_since=2010)

    assert (verdict.level, verdict.values["seasons_between"]) == (Level.SHORT, 3)
    assert verdict.free_from_season == 2027


def test_a_verdict_says_what_the_tolerance_left_out() -> None:
    verdict = judge(wanted(), [use(2024, on=box(0, -1, 4, 0.04))], record_since=2010)

    assert verdict.values["left_out_m2"] == pytest.approx(0.16)


def test_the_share_is_of_the_wanted_patch_not_of_the_earlier_one() -> None:
    verdict = judge(wanted(on=BED), [use(2024, on=box(3, 0, 30, 12))], record_since=2010)

    assert verdict.share == pytest.approx(0.25)
