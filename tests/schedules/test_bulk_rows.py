"""Rows written in bulk are the rows that the models would have written, on either database."""

from datetime import UTC, date, datetime

import pytest

from schedules.bulk_rows import rows_insert, rows_update
from schedules.models import Explanation, WeatherDay
from tests import factories as make

pytestmark = pytest.mark.django_db
AT = datetime(2027, 2, 1, 3, tzinfo=UTC)
COLUMNS = (
    "site", "content", "rule", "values", "source", "cautions", "notes", "warnings", "worked_out_at",
)  # fmt: skip
AWKWARD = 'tab\t, newline\n, backslash \\, quote " and \\N'


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=date(2024, 1, 1))


def explanations(cast: make.Cast) -> list[tuple]:
    return [
        (
            cast.site.pk,
            f"key {at}",
            AWKWARD[:60],
            '{"a": [1, null, "é\\\\"]}',
            AWKWARD,
            "[]",
            "[]",
            "[]",
            AT,
        )
        for at in range(3)
    ]


def test_what_goes_in_comes_out(cast: make.Cast) -> None:
    rows_insert(Explanation, COLUMNS, explanations(cast))
    row = Explanation.objects.get(content="key 1")
    assert (row.site, row.rule, row.source, row.worked_out_at) == (cast.site, AWKWARD, AWKWARD, AT)
    assert row.values == {"a": [1, None, "é\\"]}


def test_only_the_rows_sought_are_set(cast: make.Cast) -> None:
    rows_insert(Explanation, COLUMNS, explanations(cast))
    changed = [(cast.site.pk, "key 2", '{"b": 2}', AWKWARD), (cast.site.pk, "no such key", "{}", "")]
    assert rows_update(Explanation, ("values", "source"), changed, where=("site", "content")) == 1
    assert [row.values for row in Explanation.objects.order_by("content")][1:] == [
        {"a": [1, None, "é\\"]},
        {"b": 2},
    ]


def test_a_column_may_be_both_sought_and_set(cast: make.Cast) -> None:
    day = make.make_weather_day(cast.site, date(2027, 1, 1), tmin_c=1.0, tmax_c=5.0)
    assert rows_update(WeatherDay, ("tmin_c",), [(day.pk, 2.0, 3.0)], where=("id", "tmin_c")) == 0
    assert rows_update(WeatherDay, ("tmin_c",), [(day.pk, 1.0, 3.0)], where=("id", "tmin_c")) == 1
    day.refresh_from_db()
    assert day.tmin_c == 3.0


def test_a_gap_stays_a_gap(cast: make.Cast) -> None:
    day = make.make_weather_day(cast.site, date(2027, 1, 1), tmin_c=1.0, tmax_c=5.0)
    rows_update(WeatherDay, ("tmin_c", "day"), [(day.pk, None, date(2027, 1, 2))])
    day.refresh_from_db()
    assert (day.tmin_c, day.day) == (None, date(2027, 1, 2))


def test_nothing_is_no_statement(cast: make.Cast, django_assert_num_queries: object) -> None:
    with django_assert_num_queries(0):  # type: ignore[operator]
        rows_insert(Explanation, COLUMNS, [])
        assert rows_update(Explanation, ("rule",), []) == 0
