"""Numbers of plots and names of beds as people count them, in Python and in the database alike."""

from contextlib import closing
from datetime import date
from random import Random

import dj_database_url
import pytest
from django.db.models import Value
from django.db.utils import ConnectionHandler

from plots.models import Plot
from plots.natural_order import natural_key
from plots.natural_sorting import Naturally
from tests.factories import make_plot, make_site, make_society

SINCE = date(2020, 1, 1)
COUNTED = ["1", "2", "2A", "2b", "7", "10", "10A", "12/1", "12/3", "12/20", "a2", "A10", "B1", "Ü3"]


def shuffled() -> list[str]:
    return Random("a bag of numbers").sample(COUNTED, len(COUNTED))


def test_people_count_numbers_and_not_digits():
    assert sorted(shuffled(), key=natural_key) == COUNTED


def test_the_database_counts_in_the_same_way(db):
    site = make_site(make_society())
    for number in shuffled():
        make_plot(site, number, laid_out_on=SINCE)

    assert list(Plot.objects.order_by(Naturally("number")).values_list("number", flat=True)) == COUNTED


def test_a_long_number_keeps_its_last_digits(db):
    site = make_site(make_society())
    for number in ("000000000007", "8", "06"):
        make_plot(site, number, laid_out_on=SINCE)

    assert [each.number for each in Plot.objects.order_by(Naturally("number"))] == ["06", "000000000007", "8"]


@pytest.mark.postgresql
def test_postgresql_sorts_by_the_very_same_key(db, postgresql_url):
    connection = ConnectionHandler({"default": dj_database_url.parse(postgresql_url)})["default"]
    compiler = Plot.objects.all().query.get_compiler(connection=connection)

    with closing(connection), connection.cursor() as cursor:
        found = {}
        for number in COUNTED:
            sql, values = Naturally(Value(number)).as_postgresql(compiler, connection)
            cursor.execute(f"SELECT {sql}", values)
            found[number] = cursor.fetchone()[0]

    assert found == {number: natural_key(number) for number in COUNTED}
