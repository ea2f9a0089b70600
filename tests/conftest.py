"""Fixtures that several rooms' tests share."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests import services
from tests.mail_server import MailServer


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


@pytest.fixture
def redis_url() -> Iterator[str]:
    with services.redis_database() as url:
        yield url
