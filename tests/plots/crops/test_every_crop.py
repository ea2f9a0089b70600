"""What every crop must tell, or must say that nobody tells."""

import pytest

from plots.crops import Basis, crops
from plots.crops.requirements import DOES_WITHOUT, OF_SEED, THINNING, required
from plots.rotation import Level, Wanted, judge, rest_rules, sentence

# Families as the Angiosperm Phylogeny Group names them: APG IV, Botanical Journal of the Linnean Society 181,
# 2016, pp. 1-20 (from memory). Beet stands in Amaranthaceae, onion in Amaryllidaceae, corn salad in
# Caprifoliaceae.
RESTED = {
    *("Apiaceae", "Amaranthaceae", "Brassicaceae", "Asteraceae", "Solanaceae", "Amaryllidaceae"),
    *("Fabaceae", "Cucurbitaceae"),
}
WITHOUT_REST = {"Caprifoliaceae", "Poaceae", "Asparagaceae", "Polygonaceae", "Rosaceae"}
SQUARE = [(0, 0), (1, 0), (1, 1), (0, 1)]
EVERY = pytest.mark.parametrize("grown", crops(), ids=lambda each: each.key)


@EVERY
def test_every_crop_is_of_a_family_that_rotation_knows_or_knowingly_lacks(grown):
    assert grown.family in (RESTED if grown.family in rest_rules() else WITHOUT_REST)


@EVERY
def test_a_family_without_a_rest_on_file_is_not_called_rested(grown):
    wanted = Wanted("wanted", SQUARE, grown.key, grown.name, grown.family, 2027)
    verdict = judge(wanted, [], record_since=2000)
    assert (verdict.level is Level.SOUND) == (grown.family not in WITHOUT_REST)
    assert verdict.source
    assert ("is not judged" in sentence(verdict)) == (grown.family in WITHOUT_REST)


@EVERY
def test_every_crop_has_its_rows_and_its_place_in_the_row(grown):
    assert grown.number("row_spacing_mm") >= grown.number("in_row_spacing_mm") > 0
    assert grown.number("seeds_per_metre") > 0


@EVERY
def test_every_crop_says_how_long_it_takes_or_that_nobody_does(grown):
    days = {"days_to_maturity_min", "days_to_maturity_max", "maturity_from"}
    assert days <= grown.facts.keys() or days <= grown.gaps.keys()


@EVERY
def test_every_figure_asked_for_is_given_or_its_absence_stated(grown):
    assert required(grown.grown_from) <= grown.facts.keys() | grown.gaps.keys()
    assert not grown.facts.keys() & grown.gaps.keys()
    assert all(grown.gaps.values())


@EVERY
def test_a_gap_is_only_stated_where_a_figure_is_asked_for(grown):
    assert grown.gaps.keys() <= required(grown.grown_from) | {"germination"}


@EVERY
def test_what_is_never_sown_has_nothing_to_thin(grown):
    spared = DOES_WITHOUT.get(grown.grown_from, THINNING | OF_SEED) & THINNING
    assert not spared & grown.facts.keys()


@EVERY
def test_a_borrowed_germination_table_is_marked_as_such(grown):
    own = {"carrot", "parsnip", "beetroot", "turnip", "radish", "onion", "cabbage", "cauliflower", "lettuce"}
    own |= {"spinach", "celery", "parsley", "pea", "cucumber", "tomato", "pepper", "aubergine", "sweetcorn"}
    borrowed = grown.germination is not None and not grown.key.startswith(tuple(own))
    if grown.has("germination_stand_in"):
        assert grown.fact("germination_stand_in").basis is Basis.DERIVED
    assert grown.has("germination_stand_in") == (borrowed and grown.key != "french-bean")


@EVERY
def test_a_base_borrowed_from_the_lowest_growth_says_so(grown):
    base = grown.get("base_c")
    assert base is None or "ECOCROP" not in base.source or "stands in" in base.source


@EVERY
def test_only_what_is_stored_says_how(grown):
    storable = grown.fact("storable").value
    assert storable or not grown.has("store_way")
    assert grown.fact("crop_type").value == "early" or grown.has("store_way") == storable


@EVERY
def test_the_name_in_text_is_fit_for_the_middle_of_a_sentence(grown):
    proper = ("French", "Florence", "Hamburg", "Brussels", "Jerusalem")
    assert "," not in grown.name_in_text
    assert grown.name_in_text[0].islower() or grown.name_in_text.startswith(proper)


@pytest.mark.parametrize("key", ["rocket", "corn-salad"])
def test_a_base_that_nobody_published_stays_missing(key):
    grown = next(each for each in crops() if each.key == key)
    assert grown.gaps["base_c"] == "no published figure was found"


def test_young_plants_are_raised_before_their_published_days_are_over():
    for grown in (each for each in crops() if each.grown_from == "transplant"):
        from_sowing = grown.fact("maturity_from").value == "sowing"
        days = grown.number("days_to_maturity_min")
        assert not from_sowing or grown.number("raising_days") < days


def test_what_waits_for_the_frosts_is_what_frost_kills():
    waiting = {each.key for each in crops() if each.fact("waits_for_frost").value}
    tender = {each.key for each in crops() if each.fact("frost_class").value == "tender"}
    potatoes = {each.key for each in crops() if each.grown_from == "tuber"} & tender
    assert waiting == tender - potatoes  # planted deep, so that the leaves come late


@EVERY
def test_only_a_young_plant_that_stands_the_winter_opens_as_the_soil_cools(grown):
    assert grown.fact("overwinters_young").value == grown.has("autumn_soil_c")
    if grown.has("autumn_soil_c"):
        assert grown.fact("stands_over_winter").value != "with cover"


@EVERY
def test_earthing_up_is_over_before_the_crop_is_ready(grown):
    rounds = grown.get("earth_up_after_days")
    if rounds and grown.has("days_to_maturity_max"):
        assert rounds.value[-1] < grown.number("days_to_maturity_max")


@EVERY
def test_stages_of_water_run_to_the_whole(grown):
    assert sum(grown.fact("stage_shares").value) == 100
    assert 0 < grown.number("depletion_p") < 0.8
    assert grown.number("kc_mid") >= grown.number("kc_ini") > 0


@EVERY
def test_seed_is_counted_only_where_there_is_seed(grown):
    counted = {"field_factor_pct", "packet_seeds", "seed_keeps_years"} <= grown.facts.keys()
    assert counted == (grown.grown_from in {"seed", "transplant"})


@pytest.mark.parametrize("key", ["carrot-early", "spinach", "aubergine", "cabbage-summer"])
def test_the_stand_of_seedlings_leaves_out_what_was_not_counted(key):
    table = next(each for each in crops() if each.key == key).germination
    soil_c, share = table.stand
    assert list(soil_c) == sorted(soil_c)
    assert len(soil_c) == len(share) == sum(each is not None for each in table.seedlings_pct)
