"""docker-compose.yml's own commands, started as processes beside a real PostgreSQL and Redis."""

import json
import os
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import psycopg
import pytest
import redis
from psycopg import sql

from tests import services
from tests.deployment.compose_file import ROOT
from tests.deployment.processes import THROUGH_PROXY, Composed

pytestmark = [pytest.mark.postgresql, pytest.mark.redis]

GRACE_S = 60.0
SWEEPS_OF = {
    "letters": {"deliveries_plan", "deliveries_send"},
    "planning": {"plans_refresh", "grounds_check"},
}
WORKERS = ("letters", "planning")
PROCESSES = ("web", *WORKERS, "beat")


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Composed]:
    """The whole deployment, ready."""
    if shutil.which("redis-server") is None:
        services.not_to_be_had("no redis-server on this machine; install the package redis-server")
    folder = tmp_path_factory.mktemp("composed")
    every_second = {"COMMONROW_SWEEP_SECONDS": "1", "COMMONROW_REPLAN_SECONDS": "1"}
    with (
        services.postgresql_database() as url,
        Composed(folder=folder, database_url=url, **every_second) as composed,
    ):
        composed.start("redis")
        assert composed.run("migrate") == 0, composed.said("migrate")
        for service in PROCESSES:
            composed.start(service)
        until(lambda: state(composed) == "ready", composed, within_s=60)
        yield composed


def state(house: Composed) -> str:
    _, body, _ = house.ask("/readyz")
    return str(json.loads(body)["state"]) if body.startswith("{") else body


def until(reached: Callable[[], bool], house: Composed, *, within_s: float) -> None:
    ends = time.monotonic() + within_s
    while not reached():
        if time.monotonic() > ends:
            logs = "\n".join(f"--- {name}\n{house.said(name)[-3000:]}" for name in house.running)
            raise AssertionError(f"not within {within_s} s; /readyz says {house.ask('/readyz')[:2]}\n{logs}")
        time.sleep(0.2)


def not_ready(house: Composed) -> list[str]:
    """What /readyz names, which must be with 503."""
    status, body, _ = house.ask("/readyz")
    assert status == 503, (status, body)
    return list(json.loads(body)["not_ready"])


@contextmanager
def database_closed(house: Composed) -> Iterator[None]:
    """Nobody gets into the database, and whoever is in is thrown out."""
    name = urlsplit(house.database_url).path.strip("/")
    with psycopg.connect(services.DATABASE_URL, autocommit=True) as maintenance:
        allow = sql.SQL("ALTER DATABASE {} ALLOW_CONNECTIONS {}")
        maintenance.execute(allow.format(sql.Identifier(name), sql.Literal(False)))
        maintenance.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name]
        )
        try:
            yield
        finally:
            maintenance.execute(allow.format(sql.Identifier(name), sql.Literal(True)))


@contextmanager
def sweeps_stopped(house: Composed) -> Iterator[None]:
    """Beat and workers stand still, and their last work is an hour old."""
    for service in ("beat", *WORKERS):
        house.stop(service, within_s=GRACE_S)
    with psycopg.connect(house.database_url, autocommit=True) as database:
        database.execute("UPDATE schedules_sweep SET finished_at = finished_at - interval '1 hour'")
    try:
        yield
    finally:
        for service in ("beat", *WORKERS):
            house.start(service)


@contextmanager
def standing_still(house: Composed, service: str) -> Iterator[None]:
    house.running[service].send_signal(signal.SIGSTOP)
    try:
        yield
    finally:
        house.running[service].send_signal(signal.SIGCONT)


def swept_since(house: Composed, instant: datetime) -> set[str]:
    """Which kinds of periodic work have come to an end since then."""
    with psycopg.connect(house.database_url) as database:
        return {
            name
            for (name,) in database.execute(
                "SELECT name FROM schedules_sweep WHERE finished_at > %s", [instant]
            )
        }


def test_it_becomes_ready(house: Composed) -> None:
    status, body, _ = house.ask("/readyz")
    assert (status, json.loads(body)["not_ready"]) == (200, [])


@pytest.mark.parametrize("service", ["web", *WORKERS, "redis"])
def test_its_health_checks_pass(house: Composed, service: str) -> None:
    assert house.healthy(service)


def test_redis_runs_with_what_the_file_says(house: Composed) -> None:
    line: Any = redis.Redis(port=house.redis_port)
    assert line.config_get("appendonly") == {"appendonly": "yes"}
    assert line.config_get("maxmemory-policy") == {"maxmemory-policy": "noeviction"}
    line.close()


def test_it_sends_whoever_comes_without_tls_to_the_public_address(house: Composed) -> None:
    status, _, headers = house.ask("/log-in/", Host="plots.example")
    assert (status, headers["Location"]) == (301, "https://plots.example/log-in/")


def test_it_answers_through_the_proxy_with_every_protection(house: Composed) -> None:
    status, _, headers = house.ask("/log-in/")
    assert status == 200
    assert headers["Strict-Transport-Security"].startswith("max-age=31536000")
    assert headers["Set-Cookie"].startswith("__Host-csrftoken=")
    assert "Secure" in headers["Set-Cookie"]


def test_it_answers_to_no_other_host(house: Composed) -> None:
    assert house.ask("/healthz", **THROUGH_PROXY | {"Host": "elsewhere.example"})[0] == 400


def test_its_style_sheet_is_served(house: Composed) -> None:
    static = ROOT / "society/static"
    sheets = [f"/static/{path.relative_to(static)}" for path in static.rglob("*.css")]
    assert sheets
    assert {house.ask(sheet)[0] for sheet in sheets} == {200}


@pytest.mark.parametrize("service", WORKERS)
def test_a_worker_that_stands_still_fails_its_health_check_and_the_other_works_on(
    house: Composed, service: str
) -> None:
    [other] = set(WORKERS) - {service}
    sign = house.folder / "tmp" / service / "commonrow-worker-alive"
    long_ago = time.time() - 180
    with standing_still(house, service):
        os.utime(sign, (long_ago, long_ago))
        since = datetime.now(UTC)
        until(lambda: swept_since(house, since) >= SWEEPS_OF[other], house, within_s=60)
        time.sleep(5)  # two heartbeats, had it been alive
        assert (house.healthy(service), house.healthy(other)) == (False, True)
    until(lambda: house.healthy(service), house, within_s=15)


def test_a_database_out_of_reach_is_named_and_the_process_still_lives(house: Composed) -> None:
    with database_closed(house):
        assert not_ready(house) == ["database: cannot be read"]
        assert house.ask("/healthz")[0] == 200
        assert house.healthy("web")


def test_every_process_finds_back_to_a_database_that_was_away(house: Composed) -> None:
    with database_closed(house):
        time.sleep(2)  # long enough for each to notice
    back = datetime.now(UTC)
    until(lambda: len(swept_since(house, back)) == 4 and state(house) == "ready", house, within_s=60)
    assert all(house.running[service].poll() is None for service in PROCESSES)


def test_stopped_sweeps_are_named(house: Composed) -> None:
    with sweeps_stopped(house):
        named = {sentence.partition(":")[0] for sentence in not_ready(house)}
    assert {"deliveries_plan", "deliveries_send"} <= named


def test_it_is_ready_again_when_the_sweeps_are_back(house: Composed) -> None:
    with sweeps_stopped(house):
        assert state(house) == "not ready"
    until(lambda: state(house) == "ready", house, within_s=60)


def test_it_writes_nowhere_but_into_its_volume_and_temporary_folder(house: Composed) -> None:
    image, home = house.folder / "image", house.folder / "home"
    foreign = [path for path in image.rglob("*") if not (ROOT / path.relative_to(image)).exists()]
    assert foreign == list(home.iterdir()) == []


def test_its_logs_hold_no_secret(house: Composed) -> None:
    secret = house.environment("web")["COMMONROW_SECRET_KEY"]
    assert all(secret not in house.said(service) for service in ("migrate", *PROCESSES))


def test_the_volume_is_where_beat_keeps_its_schedule(house: Composed) -> None:
    assert list((house.folder / "data").glob("beat-schedule*"))


@pytest.mark.parametrize("service", PROCESSES)
def test_a_process_stops_in_order_within_its_grace_period(house: Composed, service: str) -> None:
    grace_s = float(house.compose["services"][service]["stop_grace_period"].removesuffix("s"))
    process = house.running[service]
    took_s = house.stop(service, within_s=grace_s)
    print(f"{service} stopped in {took_s:.1f} s")
    house.start(service)
    until(lambda: state(house) == "ready", house, within_s=60)
    assert process.returncode == 0, house.said(service)


def test_without_its_secret_it_does_not_start(house: Composed, tmp_path: Path) -> None:
    with Composed(folder=tmp_path, database_url=house.database_url) as closed:
        closed.compose["services"]["migrate"]["environment"]["COMMONROW_SECRET_KEY"] = ""
        assert closed.run("migrate") == 1
        assert "COMMONROW_SECRET_KEY: the full deployment needs a secret of its own" in closed.said("migrate")
