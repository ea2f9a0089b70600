"""The invented society, laid out once a day shown and shared by every test that only looks at it."""

import shutil
from collections.abc import Callable

import pytest

from tests.schedules.demo_runs import LIVE, SPRING, SUMMER, Run, demo, query

STANDS_ALREADY = "UPDATE society_society SET name = 'Used Lane', shown_on = ?"


@pytest.fixture(scope="session")
def society_on(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Run]:
    """The society as it is shown on a day, '2027-04-12' or 'live'; each sets the one of spring aside.

    Only the one of summer is started over: in its folder stands another that says it is summer's.
    """
    runs: dict[str, Run] = {}

    def laid_out(day: str) -> Run:
        if day not in runs:
            folder = tmp_path_factory.mktemp("demo") / day
            words = () if day == LIVE else ("--today", day)
            if day != SPRING:
                shutil.copytree(laid_out(SPRING).folder, folder)
            if day == SUMMER:
                query(folder, STANDS_ALREADY, SUMMER)
                words = (*words, "--fresh")
            runs[day] = Run(folder, demo(folder, *words))
        return runs[day]

    return laid_out


@pytest.fixture(scope="session")
def spring(society_on: Callable[[str], Run]) -> Run:
    return society_on(SPRING)
