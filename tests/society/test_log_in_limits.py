"""Tries to log in are slowed down; nobody is locked out."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core.cache import cache

from society.log_in_limits import ACCOUNT, ADDRESS, PAIR, log_in_succeeded, log_in_try, pause_s

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
ANA = "ana@alderlane.example"


@pytest.fixture(autouse=True)
def clock() -> Iterator[time_machine.Traveller]:
    cache.clear()
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller
    cache.clear()


def tried(email: str = ANA, address: str = "192.0.2.1") -> int:
    return log_in_try(email=email, address=address, now=datetime.now(UTC))


def allowed_in(clock: time_machine.Traveller, hours: int, email: str, addresses) -> int:
    """Tries that go ahead when somebody tries again the moment each pause ends."""
    end = datetime.now(UTC) + timedelta(hours=hours)
    allowed = 0
    while datetime.now(UTC) < end:
        wait = tried(email, next(addresses))
        allowed += wait == 0
        clock.shift(timedelta(seconds=wait or 0.1))
    return allowed


def test_a_few_mistakes_cost_nothing():
    assert [tried() for _ in range(PAIR.free_tries)] == [0] * PAIR.free_tries


def test_the_pause_doubles_up_to_its_longest():
    pauses = [pause_s(tries, PAIR) for tries in range(PAIR.free_tries, PAIR.free_tries + 12)]

    assert pauses == [2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900, 900]


def test_a_try_during_the_pause_is_refused_and_makes_it_no_longer():
    for _ in range(PAIR.free_tries):
        tried()
    first = tried()

    assert first > 0
    assert tried() == first


def test_capitals_are_the_same_account():
    for _ in range(PAIR.free_tries):
        tried()

    assert tried(ANA.upper()) > 0


def test_success_forgets_the_mistakes():
    for _ in range(PAIR.free_tries - 1):
        tried()
    log_in_succeeded(email=ANA, address="192.0.2.1")

    assert [tried() for _ in range(PAIR.free_tries)] == [0] * PAIR.free_tries


def test_one_machine_that_tries_many_accounts_is_slowed_down():
    waits = [tried(f"member{number}@alderlane.example") for number in range(ADDRESS.free_tries + 2)]

    assert waits[: ADDRESS.free_tries] == [0] * ADDRESS.free_tries
    assert waits[-1] > 0


def test_strangers_from_everywhere_cannot_keep_the_owner_out():
    log_in_succeeded(email=ANA, address="192.0.2.1")
    for number in range(200):
        tried(address=f"198.51.100.{number}")

    assert tried(address="198.51.100.250") > 0
    assert tried(address="192.0.2.1") == 0


def test_ten_thousand_guesses_from_one_machine_take_months(clock):
    allowed = allowed_in(clock, 24, ANA, iter(lambda: "192.0.2.1", None))

    assert allowed < 120  # a day's worth: 10 000 would take over 80 days


def test_ten_thousand_guesses_from_many_machines_take_days(clock):
    addresses = (f"2001:db8::{number:x}" for number in range(10**9))

    allowed = allowed_in(clock, 24, ANA, addresses)

    assert allowed <= 24 * 3600 / ACCOUNT.longest_s + 60  # 10 000 would take over six days


def test_no_e_mail_address_lies_in_the_cache():
    tried()

    assert ANA not in str(cache._cache)  # type: ignore[attr-defined]
