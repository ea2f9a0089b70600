"""The same claim on SQLite, where there are no row locks: two sender processes on one file."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.chain.deployment import Deployment
from tests.chain.invented_weather import normals_csv
from tests.chain.senders import two_runs_at_once
from tests.mail_server import MailServer

DUE = 4


@pytest.fixture
def post() -> Iterator[MailServer]:
    with MailServer() as server:
        yield server


@pytest.fixture
def house(post: MailServer, tmp_path: Path) -> Iterator[Deployment]:
    normals = tmp_path / "normals.csv"
    normals.write_text(normals_csv())
    with Deployment(mail_port=post.port, folder=tmp_path) as deployment:
        (tmp_path / "data").mkdir()
        deployment.run("manage.py", "migrate", "--verbosity", "0")
        deployment.run("-m", "tests.chain.lay_out")
        deployment.run("manage.py", "weather_import", str(normals), "--site", "alder-lane")
        yield deployment


def test_two_senders_on_one_file_share_the_letters(house: Deployment, post: MailServer) -> None:
    assert two_runs_at_once(house, "claimed") == [(1, 1), (1, 1), (0, 0)]
    assert set(Counter(post.recipients).values()) == {1}
    assert len(post.arrived) == DUE


def test_without_the_claim_they_double_every_letter(house: Deployment, post: MailServer) -> None:
    assert two_runs_at_once(house, "unclaimed") == [(1, 1)] * DUE + [(0, 0)]
    assert sorted(Counter(post.message_ids).values()) == [2] * DUE
