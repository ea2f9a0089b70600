"""From a weather file to letters in the post, nothing faked: PostgreSQL, Redis, two workers, a beat."""

import time
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests import services
from tests.chain.deployment import SHOWN_DAY, Deployment, kill, until
from tests.chain.invented_weather import weather_csv
from tests.chain.senders import go, two_runs_at_once
from tests.chain.sweeps import swept_again
from tests.faults.balance import states
from tests.mail_server import SILENCE, MailServer

pytestmark = [pytest.mark.postgresql, pytest.mark.redis]

TODAY = date.fromisoformat(SHOWN_DAY)
PLOT_OF = {
    "ana@alderlane.example": "1",
    "dov@alderlane.example": "1",
    "ben@alderlane.example": "2",
    "cay@alderlane.example": "3",
}


@pytest.fixture(scope="module")
def laid_out(migrated_model: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A database with a society and its imported weather, and no job or letter yet."""
    folder = tmp_path_factory.mktemp("laid-out")
    weather = folder / "weather.csv"
    weather.write_text(weather_csv(first=date(2017, 1, 1), last=TODAY - timedelta(days=1)))
    with (
        services.redis_database() as redis_url,
        services.postgresql_database(copy_of=migrated_model) as url,
        Deployment(database_url=url, redis_url=redis_url, mail_port=25, folder=folder) as house,
    ):
        house.run("-m", "tests.chain.lay_out")
        house.run("manage.py", "weather_import", str(weather), "--site", "alder-lane")
        yield url


@pytest.fixture
def post() -> Iterator[MailServer]:
    with MailServer() as server:
        yield server


@pytest.fixture
def variables() -> dict[str, str]:
    return {}


@pytest.fixture
def house(
    laid_out: str, redis_url: str, post: MailServer, tmp_path: Path, variables: dict[str, str]
) -> Iterator[Deployment]:
    with (
        services.postgresql_database(copy_of=laid_out) as url,
        Deployment(
            database_url=url, redis_url=redis_url, mail_port=post.port, folder=tmp_path, **variables
        ) as deployment,
    ):
        yield deployment


def all_sent(house: Deployment) -> bool:
    return set(states(house.environment["DATABASE_URL"])) == {"sent"}


def wait_for_letters(house: Deployment, post: MailServer, count: int) -> None:
    arrived = until(lambda: len(post.arrived) >= count, seconds=60, nap=time.sleep)
    assert arrived, f"only {len(post.arrived)} of {count} letters came\n{house.logs()}"
    assert until(lambda: all_sent(house), seconds=20, nap=time.sleep), house.logs()


def jobs_in(letter: Any) -> list[str]:
    lines = letter.get_body(("plain",)).get_content().splitlines()
    return [line.partition(". ")[2] for line in lines if line.partition(". ")[0].isdigit()]


def test_every_member_with_due_work_gets_exactly_one_letter(house: Deployment, post: MailServer) -> None:
    house.worker("one")
    house.worker("two")
    house.beat()
    house.run("-m", "tests.chain.nudge", "8")
    wait_for_letters(house, post, len(PLOT_OF))
    house.run("-m", "tests.chain.nudge", "8")
    swept_again(house, times=12)  # the eight that were asked for and several more; nothing may come twice

    seen = house.ask("-m", "tests.chain.look")
    assert Counter(post.recipients) == Counter(dict.fromkeys(PLOT_OF, 1)), house.logs()
    for to, letter in zip(post.recipients, post.arrived, strict=True):
        assert sorted(jobs_in(letter)) == sorted(seen["titles"][PLOT_OF[to]])
    assert any(title.startswith("Sow carrot") for title in seen["titles"]["1"])
    assert seen["titles"]["4"], "Eli, who has no e-mail, must have due work for this to show anything"
    rows = {row["to"]: row for row in seen["deliveries"]}
    assert dict(zip(post.recipients, post.message_ids, strict=True)) == {
        to: row["message_id"] for to, row in rows.items()
    }
    assert len(set(post.message_ids)) == len(PLOT_OF)
    assert all(row["steps"] == ["due", "claimed", "handed_over", "sent"] for row in rows.values())
    of_tasks = {name for name in seen["sweeps"] if ":" not in name}
    assert of_tasks == {"plans_refresh", "grounds_check", "deliveries_plan", "deliveries_send"}


def test_two_senders_at_once_share_the_letters(house: Deployment, post: MailServer) -> None:
    assert two_runs_at_once(house, "claimed") == [(1, 1), (1, 1), (0, 0)]
    assert Counter(post.recipients) == Counter(dict.fromkeys(PLOT_OF, 1))


def test_without_the_claim_the_same_two_senders_double_every_letter(
    house: Deployment, post: MailServer
) -> None:
    assert two_runs_at_once(house, "unclaimed") == [(1, 1)] * 4 + [(0, 0)]
    assert Counter(post.recipients) == Counter(dict.fromkeys(PLOT_OF, 2))


@pytest.mark.parametrize(
    "variables", [{"COMMONROW_LEASE_SECONDS": "12", "COMMONROW_MAIL_TIMEOUT": "2"}], ids=["short lease"]
)
def test_a_worker_killed_after_hand_over_leaves_one_letter_doubled_and_marked(
    house: Deployment, post: MailServer
) -> None:
    house.run("-m", "tests.chain.plan_once")
    post.answers = [SILENCE]  # the first letter is taken and never acknowledged
    dying = house.start("runner-dying", "-m", "tests.chain.runner", "claimed")
    go(dying)
    assert until(lambda: len(post.arrived) == 1, seconds=60, nap=time.sleep), house.logs()
    kill(dying)

    house.worker("one")
    house.beat()
    wait_for_letters(house, post, len(PLOT_OF) + 1)
    doubled, times = Counter(post.message_ids).most_common(1)[0]
    rows = house.ask("-m", "tests.chain.look")["deliveries"]
    assert (times, len(post.arrived)) == (2, len(PLOT_OF) + 1)
    assert [row["message_id"] for row in rows if row["doubts"]] == [doubled]
    assert all("doubtful" in row["steps"] for row in rows if row["doubts"])
