"""Rest periods against published tables, and overlap areas against geometry worked by hand.

Each published row is laid out as a cropping plan in calendar years, the way its readers would use it,
so that the checks do not lean on the program's own counting of seasons:
"one crop in N years" allows 2025 after 2025 - N; "N years without" and "an interval of N years" allow
2025 after 2025 - N - 1.
"""

import math
from dataclasses import dataclass

import pytest
from shapely.affinity import rotate
from shapely.geometry import box

from plots.rotation import GroundUse, Level, Wanted, judge

BED = box(0, 0, 4, 1.2)

IPM_TABLES = (
    "European IPM strategy tables (IOBC-WPRS based), Integrated Pest Management, Table 10 field vegetables, "
    "pp. 26-29; issuing body and year not shown in the copy read"
)
MUELLER = (
    "Mueller 1988, crop-interval table, reprinted as Table 3.2 in Kristiansen et al. (eds), "
    "Organic Agriculture: A Global Perspective, 2006"
)
CONNECTICUT = (
    "University of Connecticut IPM, Having problems controlling vegetable crop diseases - try rotation, "
    "rotation-period table, undated"
)


def level_after(family: str, earlier: int) -> Level:
    """The verdict on growing the family in 2025 where it last stood in the year ``earlier``."""
    past = GroundUse("past", BED, "any", "Any", family, earlier, earlier)
    return judge(Wanted("now", BED, "any", "Any", family, 2025), [past], record_since=1990).level


@dataclass(frozen=True)
class Plan:
    """The latest earlier crops that a published row allows before 2025, by its least and its most rest."""

    family: str
    stated: str
    least: int
    most: int
    source: str


PLANS = [
    Plan("Apiaceae", "1 crop in 4 to 6 years", 2021, 2019, IPM_TABLES),
    Plan("Brassicaceae", "1 in 4 years above pH 7, 1 in 6 below", 2021, 2019, IPM_TABLES),
    Plan("Amaryllidaceae", "1 in at least 3 years; 1 in 4 recommended", 2022, 2021, IPM_TABLES),
    Plan("Solanaceae", "3-4 years interval (potato)", 2021, 2020, MUELLER),
    Plan("Fabaceae", "4 years (field pea)", 2020, 2020, MUELLER),
    Plan(
        "Amaranthaceae",
        "3-5 years to non-hosts (beet cyst nematode)",
        2021,
        2019,
        "seed-company disease guide for the 3-5 years; Mai & Abawi 1979, Cornell Vegetable Crops "
        "fact sheet 750.10 (survival)",
    ),
    Plan("Asteraceae", "1 year in 3", 2022, 2022, IPM_TABLES),
    Plan("Cucurbitaceae", "two years (scab, leaf spots)", 2022, 2022, CONNECTICUT),
]


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.family)
def test_ground_is_not_broken_from_the_least_published_rest_on(plan: Plan) -> None:
    assert level_after(plan.family, plan.least + 1) is Level.BROKEN
    assert level_after(plan.family, plan.least) is not Level.BROKEN


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.family)
def test_ground_is_sound_from_the_most_published_rest_on(plan: Plan) -> None:
    assert level_after(plan.family, plan.most + 1) is not Level.SOUND
    assert level_after(plan.family, plan.most) is Level.SOUND


# Further published rows that sound ground must satisfy as well: the most rest that the row asks for.
ALSO_KEPT = [
    ("Apiaceae", "1 in 6 crop cycles", 2019,
     "IOBC-WPRS Integrated Production guideline, field vegetables - Apiaceae, undated"),
    ("Apiaceae", "3-4 years interval (carrot)", 2020, MUELLER),
    ("Apiaceae", "3- to 4-year rotation (cavity spot)", 2021,
     "University of California Statewide IPM Program, Pest Management Guidelines: Carrot - Cavity spot"),
    ("Brassicaceae", "3-4 years interval (cabbage family)", 2020, MUELLER),
    ("Brassicaceae", "three to four years (black leg)", 2020, CONNECTICUT),
    ("Amaryllidaceae", "rotate away for 3 years (downy mildew)", 2021,
     "University of Wisconsin-Madison Vegetable Pathology, Onion downy mildew, undated"),
    ("Solanaceae", "four years (verticillium wilt)", 2020, CONNECTICUT),
    ("Fabaceae", "two years (bean anthracnose)", 2022, CONNECTICUT),
    ("Amaranthaceae", "three years (leaf spot)", 2021, CONNECTICUT),
    ("Amaranthaceae", "sugar beet 4 years interval", 2020, MUELLER),
    ("Amaranthaceae", "3-year rotation minimum; 4 to 5 (rhizoctonia)", 2020,
     "Pacific Northwest Plant Disease Management Handbook, Beet, red - Rhizoctonia root rot"),
    ("Cucurbitaceae", "2 years; full 24 months (gummy stem blight)", 2022,
     "Keinath, Clemson University Extension, Preparing for gummy stem blight, 2021"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("family", "stated", "latest", "source"), ALSO_KEPT, ids=[f"{row[0]}: {row[1]}" for row in ALSO_KEPT]
)
def test_sound_ground_keeps_other_published_rests(family: str, stated: str, latest: int, source: str) -> None:
    assert level_after(family, latest + 1) is not Level.SOUND, f"{stated} ({source})"


# Source of the areas below: geometry by hand.
# Two strips of widths a and b that cross at an angle t share a parallelogram of area a * b / sin(t).
CROSSINGS = [
    (90, 1.2 * 0.8),
    (60, 1.2 * 0.8 * 2 / math.sqrt(3)),
    (30, 1.2 * 0.8 * 2),
    (-45, 0.96 * math.sqrt(2)),
]


@pytest.mark.parametrize(("angle_deg", "area_m2"), CROSSINGS)
def test_two_beds_that_cross_at_an_angle_share_a_parallelogram(angle_deg: float, area_m2: float) -> None:
    bed = box(-5, -0.6, 5, 0.6)
    old = rotate(box(-6, -0.4, 6, 0.4), angle_deg, origin=(0, 0))

    verdict = judge(
        Wanted("now", bed, "any", "Any", "Apiaceae", 2025),
        [GroundUse("past", old, "any", "Any", "Apiaceae", 2024, 2024)],
        record_since=2000,
    )

    assert verdict.area_m2 == pytest.approx(area_m2, abs=1e-9)
    assert verdict.share == pytest.approx(area_m2 / 12, abs=1e-9)


def test_a_square_bed_turned_by_an_eighth_shares_a_regular_octagon() -> None:
    # Source: geometry by hand; the octagon round a circle of radius 1 has the area 8 * (sqrt(2) - 1).
    square = box(-1, -1, 1, 1)
    past = [GroundUse("past", rotate(square, 45), "any", "Any", "Apiaceae", 2024, 2024)]

    verdict = judge(Wanted("now", square, "any", "Any", "Apiaceae", 2025), past, record_since=2000)

    assert verdict.area_m2 == pytest.approx(8 * (math.sqrt(2) - 1), abs=1e-9)
