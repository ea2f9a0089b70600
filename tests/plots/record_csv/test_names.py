"""Names of crops, families, problems and places as people write them."""

import pytest

from plots.crops import crops
from plots.record_csv.crop_names import read_crop, read_with_family
from plots.record_csv.places import Place, read_place
from plots.record_csv.problem_names import read_problem
from plots.rotation import green_manures, problems
from plots.tables import CellFault

BEDS = ("bed A", "bed B", "raised bed", "bed 3")


@pytest.mark.parametrize("crop", crops(), ids=lambda crop: crop.key)
def test_every_crop_is_known_by_key_name_and_case(crop):
    for name in (crop.key, crop.name, crop.name.upper(), crop.name_in_text):
        assert read_crop(name).crop_key == crop.key, name


@pytest.mark.parametrize("manure", green_manures().values(), ids=lambda manure: manure.key)
def test_every_green_manure_is_known_with_its_family(manure):
    for name in (manure.key, manure.name):
        found = read_crop(name)
        assert (found.crop_key, found.family) == ("", manure.family), name


@pytest.mark.parametrize("problem", problems().values(), ids=lambda problem: problem.key)
def test_every_problem_is_known_by_key_and_name(problem):
    for name in (problem.key, problem.name, problem.name.upper()):
        assert read_problem(name) == (problem.key, None), name


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Leeks", "leek"), ("early carrots", "carrot-early"), ("Brussel sprouts", "brussels-sprouts"),
        ("strawberries", "strawberry"), ("tomatoes", "tomato"), ("radishes", "radish"), ("peas", "pea"),
        ("zucchini", "courgette"), ("sweet corn", "sweetcorn"), ("onion sets", "onion-sets"),
        ("maincrop potatoes", "potato-maincrop"), ("runner  beans", "runner-bean"),
    ],
)  # fmt: skip
def test_plurals_and_other_names(text, key):
    assert read_crop(text).crop_key == key


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("some brassica", "Brassicaceae"), ("Brassicas", "Brassicaceae"), ("cabbage family", "Brassicaceae"),
        ("Cruciferae", "Brassicaceae"), ("carrots", "Apiaceae"), ("potatoes", "Solanaceae"),
        ("beans", "Fabaceae"), ("legumes", "Fabaceae"), ("pea and bean family", "Fabaceae"),
        ("onions", "Amaryllidaceae"), ("clover", "Fabaceae"), ("mustard", "Brassicaceae"),
        ("broccoli", "Brassicaceae"), ("Chenopodiaceae", "Amaranthaceae"),
    ],
)  # fmt: skip
def test_who_remembers_only_the_family_is_taken_at_that(text, family):
    found = read_crop(text)

    assert (found.crop_key, found.family, found.name) == ("", family, text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("carot", "Did you mean “Carrot, early” or “Carrot, maincrop”?"),
        ("letuce", "“Lettuce”"),
        ("roots", "“Celeriac” or “Hamburg parsley”"),
        ("winter", "“Winter radish”"),
        ("xylophone", "Write a crop of the list, or its family"),
        ("xylophone", "its own name with its family in a column family"),
        ("Carrots (Nantes)", "Write “Carrots” here, and the rest into a column variety or note."),
        ("carrot 'Nantes 2'", "Write “carrot” here"),
        ("overwintering spring onions", "Write “spring onions” here"),
        ("leek, pea", "Use two rows, one for each crop."),
        ("onions and garlic", "Use two rows, one for each crop."),
        ("peas/beans", "Use two rows, one for each crop."),
        ("Carrot, early; Leek", "Use two rows, one for each crop."),
    ],
)
def test_what_is_not_sure_is_asked_about(text, words):
    with pytest.raises(CellFault) as found:
        read_crop(text)

    assert words in found.value.remedy


def test_anything_goes_with_a_family_beside_it():
    found = read_with_family("sweet william", "lettuce family")

    assert (found.name, found.family, found.crop_key) == ("sweet william", "Asteraceae", "")
    with pytest.raises(CellFault):
        read_with_family("sweet william", "flowers")


@pytest.mark.parametrize(
    ("text", "key", "is_sure"),
    [
        ("Club root?", "clubroot", False), ("perhaps white rot", "white-rot", False),
        ("clubroot (confirmed)", "clubroot", True), ("onion white rot", "white-rot", None),
    ],
)  # fmt: skip
def test_a_problem_and_how_sure_it_was(text, key, is_sure):
    assert read_problem(text) == (key, is_sure)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("clubrot", "“clubroot”"), ("scab", "“scab or leaf spot of marrows”"), ("slugs", "note column"),
        ("clubroot, white rot", "two rows"),
    ],
)  # fmt: skip
def test_a_problem_that_is_not_on_the_list(text, words):
    with pytest.raises(CellFault) as found:
        read_problem(text)

    assert words in found.value.remedy


@pytest.mark.parametrize(
    ("bed", "part", "place"),
    [
        ("bed A", "", Place("bed A")),
        ("A", "whole bed", Place("bed A")),
        ("3", "", Place("bed 3")),
        ("whole of bed 3", "", Place("bed 3")),
        ("Bed a, north half", "", Place("bed A", "north", 0.5, True)),
        ("half of bed B", "", Place("bed B", "", 0.5, True)),
        ("raised bed", "NE corner", Place("raised bed", "north-east", None, True)),
        ("bed A", "left side", Place("bed A", is_rough=True)),
        ("bed A", "two thirds", Place("bed A", "", 2 / 3, True)),
        ("bed A", "60 %", Place("bed A", "", 0.6, True)),
        ("about a third of the plot", "", Place("", "", 1 / 3, True)),
        ("north half", "", Place("", "north", 0.5, True)),
        ("", "", Place(is_rough=True)),
        ("plot", "", Place(is_rough=True)),
        ("whole plot", "", Place()),
    ],
)
def test_places_in_words(bed, part, place):
    assert read_place(bed, part, BEDS) == place


def test_the_bed_is_the_only_one():
    assert read_place("half the bed", "", ["border"]) == Place("border", "", 0.5, True)


@pytest.mark.parametrize(
    ("bed", "part", "words"),
    [
        ("bed Q", "", "Did you mean"),
        ("whole bed", "", "Name it: “bed 3”, “bed A”, “bed B” or “raised bed”."),
        ("beds A and B", "", "Use a row for each bed."),
        ("A + B", "", "Use a row for each bed."),
        ("A/B/3", "", "Use a row for each bed."),
        ("bed A and bed B", "", "Use a row for each bed."),
        ("bed A, B", "", "Use a row for each bed."),
        ("by the shed", "", "Leave the cell empty for somewhere on the plot."),
        ("bed A", "by the hedge", "Write whole, half"),
        ("bed A", "150 %", "Write whole, half"),
    ],
)
def test_places_that_cannot_be_found(bed, part, words):
    with pytest.raises(CellFault) as found:
        read_place(bed, part, BEDS)

    assert words in found.value.remedy
