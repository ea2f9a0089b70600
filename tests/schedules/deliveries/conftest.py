"""The cast, with and without work this week."""

import pytest

from tests import factories
from tests.schedules.deliveries.steps import SINCE, make_job


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE)


@pytest.fixture
def due(cast: factories.Cast) -> factories.Cast:
    """The cast with a job this week on plot 7, Ana's, where Ben helps."""
    make_job(cast.bed)
    return cast
