"""Cases worked by hand: a 4.0 × 1.2 m bed (4.8 m²) wanted in 2025, on record since 2010 unless said.

A row says why, what was before, the verdict, the ground it speaks of, and the season from which that is free.
"""

from dataclasses import dataclass, field

import pytest

from plots.rotation import Customs, GroundUse, Level, RestWish, Sighting, Wanted, judge
from tests.plots.rotation.ground import BED, BEET, ONION, POTATO, asked, box, grown, seen, use, wanted


@dataclass(frozen=True)
class Case:
    why: str
    past: list[GroundUse]
    level: str
    area_m2: float = 0.0
    free_from: int | None = None
    since: int | None = 2010
    want: Wanted = field(default_factory=wanted)
    seen: tuple[Sighting, ...] = ()
    own: Customs = field(default_factory=Customs)


HALF = box(0, 0, 2, 1.2)
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
    Case("a strip 6 cm wide counts once it has 0.05 m²: 0.06 × 1.2 m", [use(2024, on=box(3.94, 0, 9, 1.2))],
         "broken", 0.072, 2030),
    Case("0.06 × 0.5 m is no strip, but under 0.05 m² and 1 % of the bed",
         [use(2024, on=box(3.94, 0.7, 9, 3))], "sound"),
    Case("exactly 0.05 m² counts, though it is 1 % of the bed", [use(2024, on=box(3.75, 1.0, 9, 9))],
         "broken", 0.05, 2030),
    Case("0.09 × 0.09 m is 5.1 % of a small tub", [use(2024, on=box(0.31, 0.31, 1, 1))], "broken", 0.0081,
         2030, want=wanted(on=TUB)),
    Case("0.08 × 0.08 m is 4 % of a small tub", [use(2024, on=box(0.32, 0.32, 1, 1))], "sound",
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
    Case("a coarse record and a certain one: the certain half alone breaks the minimum",
         [grown("carrot-early", 2023, on=HALF), grown("celery", 2024, coarse=True)], "broken", 2.4, 2030),
    # Crops that stand longer than a season, and several in one.
    Case("leeks sown in 2023 and lifted in 2024: no season between", [grown("leek", 2023, 2024)], "broken",
         4.8, 2028, want=asked("onion-seed")),
    Case("broad beans sown in autumn 2019, over by 2020: four between", [grown("broad-bean", 2019, 2020)],
         "sound", want=asked("pea")),
    Case("horseradish from 2012 to 2024 counts from its last season", [grown("horseradish", 2012, 2024)],
         "broken", 4.8, 2030, want=asked("turnip")),
    Case("horseradish that still stands in 2025", [grown("horseradish", 2012, 2025)], "broken", 4.8, 2031,
         want=asked("turnip")),
    Case("globe artichokes grubbed up in 2022, two between", [grown("globe-artichoke", 2015, 2022)], "sound",
         want=asked("lettuce")),
    Case("asparagus of many years is another family", [grown("asparagus", 2010, 2024)], "sound"),
    Case("radishes in spring and turnips after them in 2025", [grown("radish", 2025)], "broken", 4.8, 2031,
         want=asked("turnip")),
    Case("early potatoes and then leeks in 2025", [grown("potato-early", 2025)], "sound", want=asked("leek")),
    Case("two crops of the family in one season long ago count once",
         [grown("radish", 2020), grown("turnip", 2020)], "short", 4.8, 2026, want=asked("swede")),
    # A crop that came to nothing.
    Case("carrots that failed in 2024 fed the pests all the same", [grown("carrot-early", 2024, failed=True)],
         "broken", 4.8, 2030),
    Case("carrots that failed, where the society lets them pass", [grown("carrot-early", 2024, failed=True)],
         "sound", own=Customs(failed_counts=False)),
    # Green manures count for their family.
    Case("mustard dug in last year, before turnips", [grown("white-mustard", 2024)], "broken", 4.8, 2030,
         want=asked("turnip")),
    Case("winter tares until 2022, before peas: two between, 4 are needed",
         [grown("winter-tares", 2021, 2022)], "broken", 4.8, 2027, want=asked("pea")),
    Case("phacelia before carrots", [grown("phacelia", 2024)], "sound"),
    Case("rye before sweetcorn: its family has no rest on file", [grown("grazing-rye", 2024)], "no record",
         want=asked("sweetcorn")),
    Case("chicory in 2023 before lettuce: one between, 2 are needed", [grown("chicory", 2023)], "broken", 4.8,
         2026, want=asked("lettuce")),
    # The society's own rests.
    Case("the society rests carrots 6 seasons, five lie between", [use(2019)], "broken", 4.8, 2029,
         own=Customs({"Apiaceae": RestWish(6, 9)})),
    Case("a longer rest asks for a longer record: 7 seasons of 9", [], "no record", free_from=2027,
         since=2018, own=Customs({"Apiaceae": RestWish(6, 9)})),
    Case("the society is content with one season, and recommends two", [use(2023)], "short", 4.8, 2026,
         own=Customs({"Apiaceae": RestWish(1, 2, "sandy ground")})),
    Case("the society asks for no rest at all", [use(2024)], "sound",
         own=Customs({"Apiaceae": RestWish(0, 0, "new soil each spring")})),
    Case("a rest of the society's for onions is none for carrots", [use(2022)], "broken", 4.8, 2028,
         own=Customs({"Amaryllidaceae": RestWish(0, 1, "leeks only")})),
    # Root after root, where the society wants that.
    Case("beetroot last year, before carrots: one season is wanted between roots",
         [grown("beetroot-early", 2024)], "broken", 4.8, 2026, want=asked("carrot-early"),
         own=Customs(root_after_root=1)),
    Case("the same, one season later", [grown("beetroot-early", 2023)], "sound", want=asked("carrot-early"),
         own=Customs(root_after_root=1)),
    Case("leeks are no root", [grown("leek", 2024)], "sound", want=asked("carrot-early"),
         own=Customs(root_after_root=2)),
    Case("beetroot last year where nobody asked for that rule", [grown("beetroot-early", 2024)], "sound",
         want=asked("carrot-early")),
    Case("carrots in 2021 and beetroot in 2024: the worse rule speaks, both must be over",
         [use(2021), grown("beetroot-early", 2024, on=HALF)], "broken", 2.4, 2027,
         want=asked("carrot-early"), own=Customs(root_after_root=1)),
    # Problems seen.
    Case("cavity spot in 2022: two between, 3 recommended", [], "short", 4.8, 2026,
         want=asked("carrot-early"), seen=(seen("cavity-spot", 2022),)),
    Case("cavity spot in 2021: three between", [], "sound", want=asked("carrot-early"),
         seen=(seen("cavity-spot", 2021),)),
    Case("cavity spot does not live on celeriac", [], "sound", want=asked("celeriac"),
         seen=(seen("cavity-spot", 2024),)),
    Case("cavity spot that nobody confirmed never accuses", [], "possible", 4.8, 2027,
         want=asked("carrot-early"), seen=(seen("cavity-spot", 2023, is_sure=False),)),
    Case("clubroot under the turnips of 2020 lengthens their rest from 5 to 7", [grown("turnip", 2020)],
         "short", 4.8, 2028, want=asked("turnip"), seen=(seen("clubroot", 2020),)),
    Case("clubroot in 2021: three between, 4 are needed", [], "broken", 4.8, 2029, want=asked("kale"),
         seen=(seen("clubroot", 2021),)),
    Case("clubroot on half the bed", [], "broken", 2.4, 2031, want=asked("kale"),
         seen=(seen("clubroot", 2023, on=HALF),)),
    Case("clubroot in 2017 with no cabbages since", [], "sound", want=asked("kale"),
         seen=(seen("clubroot", 2017),)),
    Case("clubroot in 2012, and turnips in 2020 that fed it: four between, not 7", [grown("turnip", 2020)],
         "short", 4.8, 2028, want=asked("kale"), seen=(seen("clubroot", 2012),)),
    Case("clubroot in 2012, not sure, and turnips in 2020: certain of the family, possible of the problem",
         [grown("turnip", 2020)], "short", 4.8, 2028, want=asked("kale"),
         seen=(seen("clubroot", 2012, is_sure=False),)),
    Case("white rot of 2005, nineteen between", [], "broken", 4.8, 2026, want=asked("garlic"),
         seen=(seen("white-rot", 2005),)),
    Case("white rot of 2004, twenty between", [], "sound", want=asked("garlic"),
         seen=(seen("white-rot", 2004),)),
    Case("white rot on the next bed", [], "sound", want=asked("garlic"),
         seen=(seen("white-rot", 2024, on=box(0, 1.6, 4, 2.8)),)),
    Case("potato cyst nematode of 2019 rests tomatoes too: five between, not 6", [], "short", 4.8, 2026,
         want=asked("tomato"), seen=(seen("potato-cyst-nematode", 2019),)),
    # Problems that cross families.
    Case("beet cyst nematode under beetroot, before turnips", [grown("beetroot-early", 2022)], "broken", 4.8,
         2028, want=asked("turnip"), seen=(seen("beet-cyst-nematode", 2022),)),
    Case("beet cyst nematode of 2018, fed by cabbages in 2023, before beetroot",
         [grown("cabbage-summer", 2023)], "broken", 4.8, 2029, want=asked("beetroot-early"),
         seen=(seen("beet-cyst-nematode", 2018),)),
    Case("beet cyst nematode and rhubarb, whose family has no rest: three between, not 5", [], "short", 4.8,
         2027, want=asked("rhubarb"), seen=(seen("beet-cyst-nematode", 2021),)),
    Case("beet cyst nematode leaves carrots alone", [], "sound", seen=(seen("beet-cyst-nematode", 2024),)),
    Case("verticillium under potatoes, before strawberries: three between, 4 are needed", [], "broken", 4.8,
         2026, want=asked("strawberry"), seen=(seen("verticillium", 2021),)),
    Case("verticillium kept alive by strawberries until 2023, before potatoes",
         [grown("strawberry", 2020, 2023)], "broken", 4.8, 2028, want=asked("potato-early"),
         seen=(seen("verticillium", 2019),)),
    Case("strawberries four seasons after it: nothing against them, but their family has no rest", [],
         "no record", want=asked("strawberry"), seen=(seen("verticillium", 2020),)),
    Case("sclerotinia in lettuce, before carrots: one between, not 2", [grown("lettuce", 2023)], "short", 4.8,
         2026, want=asked("carrot-early"), seen=(seen("sclerotinia", 2023),)),
    Case("sclerotinia in beans last year, before lettuce", [grown("french-bean", 2024)], "broken", 4.8, 2027,
         want=asked("lettuce"), seen=(seen("sclerotinia", 2024),)),
    Case("sclerotinia last year, before leeks", [], "sound", want=asked("leek"),
         seen=(seen("sclerotinia", 2024),)),
    Case("carrots in 2021, cavity spot on half in 2024: the worse rule speaks, both must be over",
         [use(2021)], "broken", 2.4, 2028, want=asked("carrot-early"),
         seen=(seen("cavity-spot", 2024, on=HALF),)),
    # Containers.
    Case("carrots in the ground say nothing of a tub that stands there now", [use(2024)], "sound",
         want=asked("carrot-early", on=TUB, vessel="tub")),
    Case("carrots in a tub say nothing of the ground under it",
         [grown("carrot-early", 2024, on=TUB, vessel="tub")], "sound", want=asked("carrot-early")),
    Case("mix used again after carrots", [grown("carrot-early", 2024, on=TUB, vessel="tub")], "broken", 0.16,
         2030, want=asked("carrot-early", on=TUB, vessel="tub")),
    Case("fresh mix after carrots", [grown("carrot-early", 2024, on=TUB, vessel="tub")], "sound",
         want=asked("carrot-early", on=TUB, vessel="tub/1")),
    Case("clubroot in mix used again", [], "broken", 0.16, 2031, want=asked("kale", on=TUB, vessel="tub"),
         seen=(seen("clubroot", 2023, on=TUB, vessel="tub"),)),
    Case("clubroot in the mix before the fresh one", [], "sound", want=asked("kale", on=TUB, vessel="tub/1"),
         seen=(seen("clubroot", 2023, on=TUB, vessel="tub"),)),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.why)
def test_a_case_worked_by_hand(case: Case) -> None:
    verdict = judge(case.want, case.past, record_since=case.since, sightings=case.seen, customs=case.own)

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
