"""Fixtures that several rooms' tests share."""

import os
from collections.abc import Iterator
from typing import Any

import pytest

from tests import services
from tests.mail_server import MailServer
from tests.shared_model import shared_model


@pytest.fixture
def mail_server(settings: Any) -> Iterator[MailServer]:
    """A real SMTP server, and the settings that send there."""
    with MailServer() as server:
        settings.EMAIL_BACKEND = "society.mail_lines.SmtpBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        yield server


@pytest.fixture
def postgresql_url() -> Iterator[str]:
    with services.postgresql_database() as url:
        yield url


@pytest.fixture(scope="session")
def migrated_model(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A migrated PostgreSQL database to copy, never to write to: one for all processes of a test run."""
    folder = tmp_path_factory.getbasetemp()
    with shared_model(folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder) as url:
        yield url


@pytest.fixture
def migrated_url(migrated_model: str) -> Iterator[str]:
    with services.postgresql_database(copy_of=migrated_model) as url:
        yield url


@pytest.fixture
def redis_url() -> Iterator[str]:
    with services.redis_database() as url:
        yield url
