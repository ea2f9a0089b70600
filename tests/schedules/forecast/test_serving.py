"""The embedded mode as people start it: letters go out and forecasts are asked for, however slow."""

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.schedules.demo_runs import free_port, manage, query, running, until
from tests.schedules.forecast.answers import body
from tests.schedules.forecast.service import LoopbackService, Reply

CONTACT = "growers@withylane.example"
BEGIN = (
    "begin", "--society", "Withy Lane Growers", "--zone", "Europe/London", "--site", "Withy Lane",
    "--lat", "52.1", "--lon=-1.2", "--member", "Ida Rake", "--email", "ida@withylane.example",
)  # fmt: skip


@pytest.fixture
def begun(tmp_path: Path) -> Path:
    for words in (("migrate", "--verbosity", "0"), BEGIN):
        run = manage(tmp_path, *words)
        assert run.returncode == 0, run.stderr
    return tmp_path


def letters_swept(folder: Path) -> str:
    """When letters were last looked after; empty while they never were."""
    try:
        rows = query(folder, "SELECT finished_at FROM schedules_sweep WHERE name = 'deliveries_send'")
    except sqlite3.OperationalError:
        return ""
    return str(rows[0][0]) if rows else ""


@pytest.mark.parametrize("slow_s", [0.0, 60.0])
def test_serving_sweeps_letters_and_asks_for_forecasts(begun: Path, slow_s: float) -> None:
    now = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
    seconds = {"COMMONROW_SWEEP_SECONDS": "1", "COMMONROW_FORECAST_SECONDS": "1"}
    with LoopbackService(lambda request: Reply(200, body(now), slow_s=slow_s)) as service:
        named = {"COMMONROW_FORECAST_URL": service.address, "COMMONROW_FORECAST_CONTACT": CONTACT}
        with running(begun, "serve", "--port", str(free_port()), **seconds, **named):
            assert until(lambda: len(service.requests) == 1, seconds=30), "the service was never asked"
            asked = letters_swept(begun)
            assert until(lambda: letters_swept(begun) > asked, seconds=15), (
                "letters waited behind the service"
            )
            wanted = "failing" if slow_s else "good"
            states = lambda: query(begun, "SELECT state FROM schedules_forecaststate")  # noqa: E731
            assert until(lambda: states() == [(wanted,)], seconds=15)
        assert [request.headers["User-Agent"] for request in service.requests] == [f"Commonrow/0.1 {CONTACT}"]
