"""Trying the forecast by hand."""

import json
from collections.abc import Callable
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command

from schedules.forecast.service import ATTRIBUTION
from tests.factories import Cast
from tests.schedules.forecast.answers import body
from tests.schedules.forecast.conftest import NOW
from tests.schedules.forecast.service import LoopbackService, Reply

START = NOW.replace(minute=0)
Serving = Callable[..., LoopbackService]


@pytest.fixture(autouse=True)
def now() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("forecast_fetch", *arguments, stdout=out)
    return out.getvalue()


def test_switched_off_is_said_plainly_with_the_remedy(cast: Cast) -> None:
    with pytest.raises(CommandError, match=r"switched off\. Set COMMONROW_FORECAST_CONTACT"):
        run()


def test_a_pretended_day_has_no_forecast(cast: Cast, serving: Serving, settings: Any) -> None:
    serving(Reply(200, body(START)))
    settings.PRETEND_TODAY = "2027-04-12"
    with pytest.raises(CommandError, match="pretended day"):
        run()


def test_an_answer_is_counted_and_credited_and_not_asked_for_twice(cast: Cast, serving: Serving) -> None:
    service = serving(Reply(200, body(START)))
    assert run("--site", "alder-lane") == (
        f"alder-lane: answered; 60 hours and 9 whole days are held. {ATTRIBUTION} (CC BY 4.0).\n"
    )
    assert "not asked, the last answer holds until 2027-04-12T10:20:00+01:00" in run("--site", "Alder Lane")
    assert len(service.requests) == 1


def test_the_report_is_to_be_had_as_json(cast: Cast, serving: Serving) -> None:
    serving(Reply(203, body(START)))
    [report] = json.loads(run("--json"))
    assert (report["site"], report["asked"], report["state"], report["hours"]) == (
        "alder-lane",
        True,
        "good",
        60,
    )
    assert "on its way out" in report["problem"]


def test_a_failure_is_named_and_fails_the_command(cast: Cast, serving: Serving) -> None:
    serving(Reply(403))
    out = StringIO()
    with pytest.raises(CommandError, match="see above"):
        call_command("forecast_fetch", stdout=out)
    assert "it refuses us (403)" in out.getvalue()
    assert "not asked again by itself" in out.getvalue()


def test_an_unknown_site_is_named_beside_the_known(cast: Cast, serving: Serving) -> None:
    serving(Reply(200, body(START)))
    with pytest.raises(CommandError, match=r"no site is called 'x'; use one of: alder-lane \(Alder Lane\)"):
        run("--site", "x")
