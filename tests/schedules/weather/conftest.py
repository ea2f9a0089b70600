"""One site, and a file beside it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from plots.models import Site
from tests.schedules.weather.files import site_called


@pytest.fixture
def site() -> Site:
    return site_called("Fennel Lane", "fennel-lane")


@pytest.fixture
def written(tmp_path: Path, site: Site) -> Callable[[str | bytes], Path]:
    def write(text: str | bytes) -> Path:
        path = tmp_path / "weather.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write
