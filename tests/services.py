"""PostgreSQL and Redis for tests: real servers, each test with a database of its own.

A test whose service is not to be had is skipped with a sentence that says how to start it; with
COMMONROW_REQUIRE_ALL=1 it fails instead.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NoReturn
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import psycopg
import pytest
import redis
from psycopg import sql

DATABASE_URL = os.environ.get("COMMONROW_TEST_DATABASE_URL", "postgres://postgres@127.0.0.1:5432/postgres")
REDIS_URL = os.environ.get("COMMONROW_TEST_REDIS_URL", "redis://127.0.0.1:6379")
REDIS_DATABASES = 16  # as many as a server has unless its owner says otherwise; 0 is left to its owner
TAKEN = "commonrow-test-has-this-database"
LONGEST_TEST_S = 1800


def not_to_be_had(sentence: str) -> NoReturn:
    if os.environ.get("COMMONROW_REQUIRE_ALL") == "1":
        pytest.fail(sentence)
    pytest.skip(sentence)


@contextmanager
def postgresql_database(*, copy_of: str | None = None) -> Iterator[str]:
    """The address of an empty database, or of a copy of another one, dropped afterwards."""
    url = create_database(copy_of=copy_of)
    try:
        yield url
    finally:
        drop_database(url)


def create_database(*, copy_of: str | None = None) -> str:
    name = f"commonrow_test_{uuid4().hex[:12]}"
    model = _name_in(copy_of) if copy_of else "template1"
    statement = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
    with _maintenance() as line:
        line.execute(statement.format(sql.Identifier(name), sql.Identifier(model)))
    return urlunsplit(urlsplit(DATABASE_URL)._replace(path=f"/{name}"))


def drop_database(url: str) -> None:
    with _maintenance() as line:
        line.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(_name_in(url))))


def _name_in(url: str) -> str:
    return urlsplit(url).path.strip("/")


def _maintenance() -> "psycopg.Connection[Any]":
    try:
        return psycopg.connect(DATABASE_URL, autocommit=True, connect_timeout=5)
    except psycopg.OperationalError as fault:
        not_to_be_had(
            f"no PostgreSQL at {shown(DATABASE_URL)} ({str(fault).splitlines()[0]}); start one with "
            "'pg_ctlcluster 15 main start' or name another in COMMONROW_TEST_DATABASE_URL"
        )


@contextmanager
def redis_database() -> Iterator[str]:
    """The address of a Redis database number that nobody else tests in meanwhile; emptied afterwards."""
    for number in reversed(range(1, REDIS_DATABASES)):
        url = urlunsplit(urlsplit(REDIS_URL)._replace(path=f"/{number}"))
        line: Any = redis.Redis.from_url(url, socket_connect_timeout=5)
        try:
            is_ours = line.set(TAKEN, os.getpid(), nx=True, ex=LONGEST_TEST_S)
        except redis.RedisError as fault:
            not_to_be_had(
                f"no Redis at {shown(REDIS_URL)} ({fault}); start one with "
                "'redis-server --daemonize yes --bind 127.0.0.1' or name another in COMMONROW_TEST_REDIS_URL"
            )
        if is_ours and line.dbsize() == 1:  # anything else in it belongs to somebody
            break
        if is_ours:
            line.delete(TAKEN)
        line.close()
    else:
        not_to_be_had(f"no empty database at {shown(REDIS_URL)}; empty one with 'redis-cli -n 9 flushdb'")
    try:
        yield url
    finally:
        line.flushdb()
        line.close()


def shown(url: str) -> str:
    """An address without its password."""
    parts = urlsplit(url)
    return f"{parts.hostname}:{parts.port}{parts.path}"
