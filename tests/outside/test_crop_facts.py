"""Crop facts against the tables that they are said to come from, read here a second time."""

import pytest

from plots.crops import crop, crops

# Percentages in interstate commerce: 7 CFR 201.31, Federal Seed Act regulations, 59 FR 64491, 14 December
# 1994, read in a public copy of the Code.
SEED_ACT_PCT = {
    "carrot-early": 55,
    "carrot-maincrop": 55,
    "parsnip": 60,
    "beetroot-early": 65,
    "chard": 65,
    "turnip": 80,
    "swede": 75,
    "radish": 75,
    "celeriac": 55,
    "celery": 55,
    "salsify": 75,
    "parsley": 60,
    "onion-seed": 70,
    "leek": 60,
    "kohlrabi": 75,
    "cabbage-summer": 75,
    "brussels-sprouts": 70,
    "cauliflower": 75,
    "calabrese": 75,
    "kale": 75,
    "pak-choi": 75,
    "lettuce": 80,
    "spinach": 60,
    "corn-salad": 70,
    "endive": 70,
    "pea": 80,
    "broad-bean": 75,
    "french-bean": 70,
    "runner-bean": 75,
    "courgette": 75,
    "cucumber": 80,
    "tomato": 75,
    "pepper": 55,
    "aubergine": 60,
    "sweetcorn": 75,
}
# Maynard, D.N. and Hochmuth, G.J., Knott's Handbook for Vegetable Growers, 4th edition, 1997: highest
# approximate monthly temperatures for best growth and quality [°F], as reprinted in a training manual.
KNOTT_F = {
    75: (
        "pea broad-bean lettuce endive spinach cauliflower calabrese brussels-sprouts radish winter-radish "
        "turnip kohlrabi florence-fennel pak-choi"
    ),
    90: "courgette winter-squash cucumber",
    95: "sweetcorn aubergine",
}
# Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998: Kc at the start, in mid-season
# and at the end (Table 12), lesser rooting depth [m] and depletion fraction (Table 22), as transcribed by
# staff of the USDA Agricultural Research Service.
FAO_56 = {
    "carrot-early": (0.7, 1.05, 0.95, 0.5, 0.35),
    "beetroot-maincrop": (0.5, 1.05, 0.95, 0.6, 0.50),
    "parsnip": (0.5, 1.05, 0.95, 0.5, 0.40),
    "turnip": (0.5, 1.10, 0.95, 0.5, 0.50),
    "potato-maincrop": (0.5, 1.15, 0.75, 0.4, 0.35),
    "onion-seed": (0.7, 1.05, 0.75, 0.3, 0.30),
    "garlic": (0.7, 1.00, 0.70, 0.3, 0.30),
    "celery": (0.7, 1.05, 1.00, 0.3, 0.20),
    "lettuce": (0.7, 1.00, 0.95, 0.3, 0.30),
    "cabbage-winter": (0.7, 1.05, 0.95, 0.5, 0.45),
    "tomato": (0.6, 1.15, 0.80, 0.7, 0.40),
    "pea": (0.5, 1.15, 1.10, 0.6, 0.35),
    "sweetcorn": (0.3, 1.15, 1.05, 0.8, 0.50),
    "strawberry": (0.4, 0.85, 0.75, 0.2, 0.20),
    "asparagus": (0.5, 0.95, 0.30, 1.2, 0.45),
}
# Days of the four stages in Table 11 of the same paper.
FAO_56_STAGES = {
    "carrot-maincrop": (30, 40, 60, 20),
    "beetroot-early": (15, 25, 20, 10),
    "potato-maincrop": (30, 35, 50, 30),
    "onion-seed": (15, 25, 70, 40),
    "lettuce": (20, 30, 15, 10),
    "pea": (15, 25, 35, 15),
    "tomato": (30, 40, 45, 30),
    "sweetcorn": (20, 25, 25, 10),
}
# Years that seed keeps under favourable conditions: Maynard and Hochmuth, Knott's Handbook for Vegetable
# Growers, 4th edition, 1997, in the table that Iowa State University Extension made of it.
KNOTT_YEARS = {
    "parsnip": 1,
    "salsify": 1,
    "parsley": 1,
    "onion-seed": 1,
    "leek": 2,
    "pepper": 2,
    "sweetcorn": 2,
    "carrot-early": 3,
    "celeriac": 3,
    "pea": 3,
    "french-bean": 3,
    "spinach": 3,
    "kohlrabi": 3,
    "beetroot-early": 4,
    "turnip": 4,
    "swede": 4,
    "tomato": 4,
    "radish": 5,
    "cucumber": 5,
    "endive": 5,
    "lettuce": 6,
}


@pytest.mark.parametrize("key", SEED_ACT_PCT)
def test_germination_standards_are_those_of_the_code_of_federal_regulations(key):
    assert crop(key).number("germination_standard_pct") == SEED_ACT_PCT[key]


@pytest.mark.parametrize("key", FAO_56)
def test_water_figures_are_those_of_fao_56(key):
    names = ("kc_ini", "kc_mid", "kc_end", "root_depth_m", "depletion_p")
    assert tuple(crop(key).number(name) for name in names) == FAO_56[key]


@pytest.mark.parametrize("key", FAO_56_STAGES)
def test_stages_share_out_the_days_of_fao_56(key):
    days = FAO_56_STAGES[key]
    for share, stage in zip(crop(key).fact("stage_shares").value, days, strict=True):
        assert abs(share - 100 * stage / sum(days)) < 1


@pytest.mark.parametrize("key", KNOTT_YEARS)
def test_seed_keeps_as_long_as_the_handbook_says(key):
    assert crop(key).number("seed_keeps_years") == KNOTT_YEARS[key]


def test_lettuce_celery_and_spinach_fail_in_warm_soil():
    """Normal seedlings of Harrington and Minges, 1954.

    Lettuce 99 % at 25 °C and 12 % at 30 °C, spinach 52 % at 20 °C and 28 % at 25 °C; celery 97 % at 20 °C,
    and no emergence at 25 °C.
    """
    limits = {each.key: each.number("heat_limit_c") for each in crops() if each.has("heat_limit_c")}
    assert (limits["lettuce"], limits["spinach"], limits["celery"]) == (25, 20, 20)
    assert "carrot-early" not in limits  # 95 % at 30 °C


def test_the_hottest_months_are_those_of_the_handbook():
    stated = {each.key: each.number("hottest_month_c") for each in crops() if each.has("hottest_month_c")}
    printed = {key: (degrees - 32) / 1.8 for degrees, keys in KNOTT_F.items() for key in keys.split()}
    assert stated == pytest.approx(printed, abs=0.05)
