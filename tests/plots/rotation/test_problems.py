"""Tables of problems and of green manures are refused whole at their first fault, with line and column."""

import pytest

from plots.rotation import RestDataFault, green_manures, problems, rest_rules
from plots.rotation.green_manures import COLUMNS as MANURE_COLUMNS
from plots.rotation.green_manures import read_green_manures
from plots.rotation.problems import COLUMNS, read_problems

HEADER = ",".join(COLUMNS) + "\n"
GOOD = "clubroot,clubroot,Brassicaceae,4,7,4 years; 7 years,N years without,read,a table,,Lime.,yes\n"

FAULTS = [
    ("", 1, "header"),
    (HEADER + GOOD + GOOD, 3, "key"),
    (HEADER + "clubroot,clubroot,Brassicaceae\n", 2, "key"),
    (HEADER + GOOD.replace("a table", ""), 2, "source"),
    (HEADER + GOOD.replace(",Brassicaceae", ","), 2, "hosts"),
    (HEADER + GOOD.replace(",Brassicaceae", ",Brassicaceae;turnips"), 2, "hosts"),
    (HEADER + GOOD.replace("N years without", "about"), 2, "reading"),
    (HEADER + GOOD.replace("N years without", "1 in N"), 2, "minimum_seasons"),
    (HEADER + GOOD.replace(",4,7,", ",4,6,"), 2, "recommended_seasons"),
    (HEADER + GOOD.replace(",4,7,", ",7,4,"), 2, "recommended_seasons"),
    (HEADER + GOOD.replace(",read,", ",hearsay,"), 2, "basis"),
    (HEADER + GOOD.replace(",yes", ",perhaps"), 2, "is_carried_on_soil"),
]

MANURES = ",".join(MANURE_COLUMNS) + "\n"
MUSTARD = "mustard,mustard,Sinapis alba,Brassicaceae,read,a book\n"

MANURE_FAULTS = [
    ("key,name\n", 1, "header"),
    (MANURES + MUSTARD + MUSTARD, 3, "key"),
    (MANURES + "mustard\n", 2, "key"),
    (MANURES + MUSTARD.replace("a book", ""), 2, "source"),
    (MANURES + MUSTARD.replace("Brassicaceae", "cabbages"), 2, "family"),
    (MANURES + MUSTARD.replace(",read,", ",hearsay,"), 2, "basis"),
]


@pytest.mark.parametrize(("text", "line", "column"), FAULTS)
def test_a_fault_among_problems_names_its_line_and_column(text: str, line: int, column: str) -> None:
    with pytest.raises(RestDataFault) as fault:
        read_problems(text)

    assert (fault.value.line, fault.value.column) == (line, column)


@pytest.mark.parametrize(("text", "line", "column"), MANURE_FAULTS)
def test_a_fault_among_green_manures_names_its_line_and_column(text: str, line: int, column: str) -> None:
    with pytest.raises(RestDataFault) as fault:
        read_green_manures(text)

    assert (fault.value.line, fault.value.column) == (line, column)


def test_a_good_problem_is_read() -> None:
    rest = read_problems(HEADER + GOOD)["clubroot"].rest

    assert (rest.minimum_seasons, rest.recommended_seasons, rest.dispute) == (4, 7, "")


def test_every_family_that_a_problem_lives_on_has_a_rest_of_its_own() -> None:
    families = {host for each in problems().values() for host in each.hosts if host.endswith("aceae")}

    assert families <= set(rest_rules())


def test_every_family_of_a_green_manure_is_spelled_as_a_rule_spells_it() -> None:
    known = {manure.family for manure in green_manures().values()} & set(rest_rules())

    assert {"Brassicaceae", "Fabaceae", "Asteraceae", "Amaranthaceae"} <= known
