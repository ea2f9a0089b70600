"""The rest table is refused whole at its first fault, with line and column."""

import pytest

from plots.rotation import RestDataFault, read_rest_rules, rest_rules

HEADER = "family,family_name,minimum_seasons,recommended_seasons,stated_as,reading,basis,source\n"
GOOD = "Apiaceae,carrot family,3,5,one crop in 4 to 6 years,1 in N,read,a table\n"

FAULTS = [
    ("", 1, "header"),
    ("family,source\n", 1, "header"),
    (HEADER, 1, "family"),
    (HEADER + GOOD + GOOD, 3, "family"),
    (HEADER + "Apiaceae,carrot family,3\n", 2, "family"),
    (HEADER + GOOD.replace("a table", "a table, p. 2"), 2, "family"),
    (HEADER + GOOD.replace("a table", ""), 2, "source"),
    (HEADER + GOOD.replace(",3,", ",three,"), 2, "minimum_seasons"),
    (HEADER + GOOD.replace(",3,", ",-3,"), 2, "minimum_seasons"),
    (HEADER + GOOD.replace(",3,", ",0,"), 2, "minimum_seasons"),
    (HEADER + GOOD.replace(",5,", ",99,"), 2, "recommended_seasons"),
    (HEADER + GOOD.replace(",3,5,", ",5,3,"), 2, "recommended_seasons"),
    (HEADER + GOOD.replace(",3,", ",4,"), 2, "minimum_seasons"),
    (HEADER + GOOD.replace("1 in N", "about N"), 2, "reading"),
    (HEADER + GOOD.replace(",read,", ",hearsay,"), 2, "basis"),
    (HEADER + GOOD.replace("one crop", '"one crop"x'), 2, "family"),
]


@pytest.mark.parametrize(("text", "line", "column"), FAULTS)
def test_a_fault_names_its_line_and_column(text: str, line: int, column: str) -> None:
    with pytest.raises(RestDataFault) as fault:
        read_rest_rules(text, file="rest.csv")

    assert (fault.value.line, fault.value.column) == (line, column)
    assert str(fault.value).startswith(f"rest.csv, line {line}, column {column!r}: ")


def test_a_good_table_is_read() -> None:
    rule = read_rest_rules(HEADER + GOOD)["Apiaceae"]

    assert (rule.minimum_seasons, rule.recommended_seasons, rule.reading) == (3, 5, "1 in N")


@pytest.mark.parametrize(
    ("reading", "minimum"), [("1 in N", 3), ("seasons between", 4), ("N years without", 4)]
)
def test_the_reading_says_what_four_years_leave_between(reading: str, minimum: int) -> None:
    line = f"Apiaceae,carrot family,{minimum},{minimum},4 years,{reading},read,a table\n"

    assert read_rest_rules(HEADER + line)["Apiaceae"].minimum_seasons == minimum


def test_a_family_without_a_published_rest_has_no_rule() -> None:
    assert "Poaceae" not in rest_rules()


def test_every_packaged_rule_names_a_source() -> None:
    assert all(len(rule.source) > 20 and rule.family_name for rule in rest_rules().values())
