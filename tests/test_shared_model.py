"""The database that all processes of a test run copy: made once, dropped by the last."""

import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

import psycopg
import pytest

from tests import services, shared_model
from tests.chain.deployment import ROOT

pytestmark = pytest.mark.postgresql
ANOTHER_PROCESS = """
import sys
from pathlib import Path
from tests import shared_model
shared_model.migrated = lambda url, folder: sys.exit("made twice")
with shared_model.shared_model(Path(sys.argv[1])) as url:
    print(url)
"""


def tables(url: str) -> list[str]:
    with psycopg.connect(url) as database:
        return [
            name for (name,) in database.execute("SELECT tablename FROM pg_tables WHERE tablename = 'made'")
        ]


def make_a_table(url: str, _: Path) -> None:
    with psycopg.connect(url) as database:
        database.execute("CREATE TABLE made ()")


def fails(url: str, _: Path) -> None:
    raise RuntimeError(url)


def is_gone(url: str) -> bool:
    try:
        psycopg.connect(url).close()
    except psycopg.OperationalError as fault:
        return "does not exist" in str(fault)
    return False


def test_it_is_made_once_and_outlives_whoever_leaves_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shared_model, "migrated", make_a_table)
    with ExitStack() as users:
        first = users.enter_context(shared_model.shared_model(tmp_path))
        command = [sys.executable, "-c", ANOTHER_PROCESS, str(tmp_path)]
        other = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert (other.returncode, other.stdout.strip()) == (0, first), other.stderr
        assert tables(first) == ["made"]
        with services.postgresql_database(copy_of=first) as copy:
            assert tables(copy) == ["made"]
    assert is_gone(first)


def test_whoever_comes_after_the_last_makes_it_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shared_model, "migrated", make_a_table)
    with shared_model.shared_model(tmp_path) as first:
        pass
    with shared_model.shared_model(tmp_path) as second:
        assert tables(second) == ["made"]
    assert first != second


def test_what_could_not_be_migrated_is_dropped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shared_model, "migrated", fails)
    with pytest.raises(RuntimeError) as fault, shared_model.shared_model(tmp_path):
        pass
    assert is_gone(str(fault.value))
