"""A morning in April, and a service on loopback that is switched on."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from typing import Any

import pytest

from tests.factories import Cast, make_cast
from tests.schedules.forecast.service import LoopbackService, Reply, Request

NOW = datetime(2027, 4, 12, 8, 20, tzinfo=UTC)
CONTACT = "growers@alderlane.example"


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=datetime(2020, 1, 1, tzinfo=UTC).date())


@pytest.fixture
def serving(settings: Any) -> Iterator[Callable[..., LoopbackService]]:
    """Start a service; settings name it, and us, from then on."""
    with ExitStack() as stack:

        def start(reply: Reply | Callable[[Request], Reply]) -> LoopbackService:
            answer = reply if callable(reply) else lambda request: reply
            service = stack.enter_context(LoopbackService(answer))
            settings.FORECAST_URL, settings.FORECAST_CONTACT = service.address, CONTACT
            return service

        yield start
