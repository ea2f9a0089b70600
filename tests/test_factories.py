"""The cast is what its first lines say it is."""

from datetime import date

import pytest

from society.selectors import members_acted_for, sits_on_committee
from tests import factories

SINCE = date(2020, 1, 1)

pytestmark = pytest.mark.django_db


def test_each_of_the_cast_acts_for_themselves() -> None:
    cast = factories.make_cast(since=SINCE)

    assert list(members_acted_for(cast.ana_account, on=SINCE)) == [cast.ana]


def test_only_dee_sits_on_the_committee() -> None:
    cast = factories.make_cast(since=SINCE)

    accounts = [cast.ana_account, cast.ben_account, cast.col_account, cast.dee_account]
    assert [sits_on_committee(account, on=SINCE) for account in accounts] == [False, False, False, True]


def test_the_plots_do_not_overlap() -> None:
    cast = factories.make_cast(since=SINCE)

    tops = max(y for _, y in cast.plot.outline)
    assert tops < min(y for _, y in cast.other_plot.outline)
