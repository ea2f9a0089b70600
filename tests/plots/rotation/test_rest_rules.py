"""The rest table is refused whole at its first fault, with line and column."""

import pytest

from plots.rotation import Level, RestDataFault, judge, read_rest_rules, rest_rules, sentence
from tests.plots.rotation.ground import asked, grown, seen, use, wanted

HEADER = "family,family_name,minimum_seasons,recommended_seasons,stated_as,reading,basis,source,dispute\n"
GOOD = "Apiaceae,carrot family,3,5,one crop in 4 to 6 years,1 in N,read,a table,\n"

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


# What four stated years mean: full seasons between, and the last earlier crop that leaves 2025 free.
READINGS = [
    ("1 in N", "one crop in 4 years", 3, 2021),
    ("N-year rotation", "a 4-year rotation", 3, 2021),
    ("N years without", "4 years without the family", 4, 2020),
    ("seasons between", "an interval of 4 years", 4, 2020),
]


@pytest.mark.parametrize(("reading", "stated", "between", "latest"), READINGS)
def test_the_reading_says_what_four_years_leave_between(
    reading: str, stated: str, between: int, latest: int
) -> None:
    line = f"Apiaceae,carrot family,{between},{between},{stated},{reading},read,a table,\n"
    rules = read_rest_rules(HEADER + line)

    assert rules["Apiaceae"].minimum_seasons == between
    for year, level in ((latest, Level.SOUND), (latest + 1, Level.BROKEN)):
        assert judge(wanted(2025), [use(year)], record_since=2000, rules=rules).level is level


@pytest.mark.parametrize(("reading", "stated", "between", "latest"), READINGS)
def test_a_number_that_the_reading_does_not_give_is_refused(
    reading: str, stated: str, between: int, latest: int
) -> None:
    line = f"Apiaceae,carrot family,{between + 1},{between + 1},{stated},{reading},read,a table,\n"

    with pytest.raises(RestDataFault, match="needs the number 5 in stated_as"):
        read_rest_rules(HEADER + line)


def test_where_sources_disagree_the_row_and_its_warning_say_so() -> None:
    verdicts = [
        judge(wanted(2025), [use(2024)], record_since=2010),
        judge(asked("carrot-early"), [], record_since=2010, sightings=[seen("cavity-spot", 2024)]),
        judge(asked("leek"), [grown("leek", 2024)], record_since=2010),
    ]
    told = [
        "no effect of rotation on cavity spot",
        "no effect of rotation, and the fungus",
        "4 to 5 years for",
    ]

    for verdict, words in zip(verdicts, told, strict=True):
        assert f"Sources disagree: {verdict.values['dispute']}." in sentence(verdict)
        assert words in str(verdict.values["dispute"])


def test_where_none_is_known_to_disagree_nothing_is_said() -> None:
    assert "disagree" not in sentence(judge(asked("lettuce"), [grown("lettuce", 2024)], record_since=2010))


def test_a_family_without_a_published_rest_has_no_rule() -> None:
    assert "Poaceae" not in rest_rules()


def test_every_packaged_rule_names_a_source() -> None:
    assert all(len(rule.source) > 20 and rule.family_name for rule in rest_rules().values())
