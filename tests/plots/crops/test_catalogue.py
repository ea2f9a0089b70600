import pytest

from plots.crops import INSECTS, Basis, MissingFact, UnknownCrop, crop, crops


def flights(grown):
    fact = grown.get("flight")
    return fact.value.split(";") if fact else []


SEED = [each for each in crops() if each.grown_from == "seed"]


def test_root_crops_stand_first_in_file_order():
    roots = [each.fact("is_root").value for each in crops()]
    assert len(roots) == 58
    assert roots == sorted(roots, reverse=True)


def test_a_crop_is_found_by_its_key():
    assert crop("parsnip").botanical_name == "Pastinaca sativa"


def test_a_misspelt_crop_names_the_near_ones():
    with pytest.raises(UnknownCrop, match="carrot-early") as caught:
        crop("carot-early")
    assert caught.value.near[0] == "carrot-early"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("carot", "carrot-early"),
        ("parsnep", "parsnip"),
        ("brocoli", "purple-sprouting-broccoli"),
        ("Broad  Beans", "broad-bean"),
        ("letuce", "lettuce"),
    ],
)
def test_the_likest_crop_is_named_first(typed, meant):
    with pytest.raises(UnknownCrop) as caught:
        crop(typed)
    assert caught.value.near[0] == meant


def test_nothing_is_guessed_from_nothing():
    with pytest.raises(UnknownCrop) as caught:
        crop(" ")
    assert caught.value.near == ()


def test_part_of_a_key_names_both_sorts():
    with pytest.raises(UnknownCrop) as caught:
        crop("beetroot")
    assert caught.value.near == ("beetroot-early", "beetroot-maincrop")


def test_a_crop_like_no_other_lists_what_is_known():
    with pytest.raises(UnknownCrop, match="known crops: carrot-early, "):
        crop("zzz")


def test_a_missing_fact_names_crop_and_fact():
    with pytest.raises(MissingFact, match="onion-sets: no fact named 'thin_after_days'"):
        crop("onion-sets").fact("thin_after_days")


def test_a_fact_can_be_asked_for_without_an_error():
    assert crop("potato-early").get("flight") is None
    assert not crop("potato-early").has("flight")


def test_a_series_is_not_a_number():
    with pytest.raises(TypeError, match="thin_after_days"):
        crop("parsnip").number("thin_after_days")


def test_a_flag_is_not_a_number():
    with pytest.raises(TypeError, match="is_root"):
        crop("parsnip").number("is_root")


def test_facts_cannot_be_changed():
    with pytest.raises(TypeError):
        crop("parsnip").facts["base_c"] = None


@pytest.mark.parametrize("grown", SEED, ids=lambda each: each.key)
def test_a_crop_grown_from_seed_has_a_germination_table_or_says_why_not(grown):
    assert (grown.germination is None) == ("germination" in grown.gaps)


@pytest.mark.parametrize("key", ["onion-sets", "potato-early", "garlic", "rhubarb", "strawberry"])
def test_what_is_planted_has_neither_table_nor_thinning(key):
    assert crop(key).germination is None
    assert not crop(key).has("thin_spacings_mm")


@pytest.mark.parametrize("grown", SEED, ids=lambda each: each.key)
def test_the_last_thinning_leaves_the_final_spacing(grown):
    thinnings = grown.get("thin_spacings_mm")
    final = thinnings.value[-1] if thinnings else grown.number("in_row_spacing_mm")
    assert final == grown.number("in_row_spacing_mm")


@pytest.mark.parametrize("grown", crops(), ids=lambda each: each.key)
def test_every_source_reads_as_its_basis(grown):
    starts = {Basis.MEMORY: "from memory: ", Basis.DERIVED: "derived: "}
    for fact in grown.facts.values():
        if fact.basis is Basis.PRACTICE:
            assert fact.source == "common practice, no published source"
        else:
            assert fact.source.startswith(starts.get(fact.basis, ""))


def test_parsnip_carries_the_warning_about_sap():
    assert "sap" in crop("parsnip").fact("cautions").value.split(";")


def test_potatoes_carry_the_warning_about_greening():
    assert "green-potatoes" in crop("potato-early").fact("cautions").value.split(";")


def test_only_the_carrot_family_is_watched_for_carrot_fly():
    watched = {each.family for each in crops() if "carrot-fly" in flights(each)}
    assert watched == {"Apiaceae"}


def test_each_fly_keeps_to_the_families_it_feeds_on():
    hosts = {fly: {each.family for each in crops() if fly in flights(each)} for fly in INSECTS}
    assert hosts["cabbage-root-fly"] == {"Brassicaceae"}
    assert hosts["onion-fly"] == {"Amaryllidaceae"}
    assert hosts["bean-seed-fly"] == {"Fabaceae", "Amaryllidaceae"}


def test_only_sorts_sown_little_and_often_are_sown_again():
    again = {each.key for each in crops() if each.has("resow_min_days")}
    roots = {each.key for each in crops() if each.fact("is_root").value}
    assert again & roots == {"carrot-early", "beetroot-early", "turnip", "radish"}
    assert {"lettuce", "spinach", "pea", "rocket"} <= again
    assert not again & {"parsnip", "runner-bean", "tomato", "rhubarb"}
