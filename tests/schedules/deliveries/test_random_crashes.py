"""Workers that die at random moments, many times over: the closing balance of letters must still agree."""

import random
from collections import Counter
from datetime import timedelta
from typing import Any

import pytest

from schedules import deliveries
from schedules.models import Delivery, DeliveryStep
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import SEVEN_IN_LONDON, SINCE, State, plan

pytestmark = pytest.mark.django_db

LETTERS = 60
ODDS = 0.12
SEEDS = (1, 2, 3)
# Longer than the lease and the first pause, so that each round finds what the one before left lying.
ROUND = timedelta(minutes=10)


class Killed(BaseException):
    """Not an Exception: nothing that a worker does on its way may catch it."""


class MortalPost(deliveries.Post):
    """A line whose worker may die before, between and after every step of a letter."""

    def __init__(self, chance: random.Random, kills: Counter[str]) -> None:
        super().__init__()
        self.chance, self.kills = chance, kills

    def maybe_die(self, moment: str) -> None:
        if self.chance.random() < ODDS:
            self.kills[moment] += 1
            raise Killed(moment)

    def ready(self) -> None:
        super().ready()
        self.maybe_die("line opened")

    def send(self, message: Any) -> None:
        self.maybe_die("handed over, not sent")
        super().send(message)
        self.maybe_die("sent, not noted")


def run_until_killed(chance: random.Random, kills: Counter[str], now: Any) -> None:
    deliveries.deliveries_sweep(now=now)
    post = MortalPost(chance, kills)
    try:
        while claimed := deliveries.deliveries_claim(now=now, limit=1):
            post.maybe_die("claimed")
            deliveries.delivery_send(claimed[0], post=post, now=now)
    except Killed:
        pass
    finally:
        post.close()


@pytest.mark.parametrize("seed", SEEDS)
def test_after_any_crashes_no_letter_is_lost_and_every_double_is_marked(
    due: factories.Cast, mail_server: MailServer, seed: int
) -> None:
    for number in range(LETTERS - 2):
        member = factories.make_member(due.society, f"Member{number} Row", joined_on=SINCE)
        factories.make_co_worker(due.plot, member, since=SINCE)
    assert plan() == LETTERS
    chance, kills, now = random.Random(seed), Counter[str](), SEVEN_IN_LONDON
    for _ in range(200):
        run_until_killed(chance, kills, now)
        now += ROUND
    assert len(kills) == 4, f"every moment must have been hit: {kills}"

    print(f"seed {seed}: {kills.total()} kills {dict(kills)}")
    arrived = Counter(mail_server.message_ids)
    assert arrived.keys() == set(
        Delivery.objects.filter(state=State.SENT).values_list("message_id", flat=True)
    )
    assert len(arrived) == LETTERS
    assert arrived.total() - len(arrived) <= kills["sent, not noted"]
    print(f"{arrived.total() - len(arrived)} doubled")
    doubts = dict(Delivery.objects.values_list("message_id", "doubts"))
    assert all(times - 1 <= doubts[mid] for mid, times in arrived.items())
    doubted = set(
        DeliveryStep.objects.filter(state=State.DOUBTFUL).values_list("delivery__message_id", flat=True)
    )
    assert {mid for mid, times in arrived.items() if times > 1} <= doubted
