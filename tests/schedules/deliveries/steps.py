"""Single steps of a letter's way, each on a Friday in April at seven in London unless told otherwise."""

from datetime import date, datetime
from typing import Any

import pytest

from schedules import deliveries
from schedules.models import Delivery, DeliveryStep
from tests import factories

SINCE = date(2020, 1, 1)
FRIDAY = date(2027, 4, 9)
SEVEN_IN_LONDON = factories.instant(FRIDAY, 6)  # British Summer Time
State = Delivery.State


def make_job(bed: Any, *, start_on: date = FRIDAY) -> Any:
    sowing = factories.make_sowing(bed, season=2027)
    return factories.make_job(sowing, "necks", start_on=start_on, rule="feel_necks")


def plan(now: datetime = SEVEN_IN_LONDON) -> int:
    return deliveries.deliveries_plan(now=now)


def claim_one(now: datetime = SEVEN_IN_LONDON) -> Delivery:
    (delivery,) = deliveries.deliveries_claim(now=now, limit=1)
    return delivery


def send(delivery: Delivery, now: datetime = SEVEN_IN_LONDON) -> str:
    with deliveries.Post() as post:
        return deliveries.delivery_send(delivery, post=post, now=now)


def states_of(delivery: Delivery) -> list[str]:
    return list(DeliveryStep.objects.filter(delivery=delivery).values_list("state", flat=True))


def anas() -> Delivery:
    return Delivery.objects.get(member__name="Ana Orchard")


def only_ana(cast: factories.Cast) -> Delivery:
    """Plan, and leave only Ana's letter, so that a test can follow one."""
    plan()
    Delivery.objects.exclude(member=cast.ana).delete()
    return anas()


def dies_after_hand_over(delivery: Delivery, now: datetime) -> None:
    """What a worker leaves that is killed between the server's taking the letter and its own note of it."""

    class Killed(BaseException):
        pass

    class DeadlyPost(deliveries.Post):
        def send(self, message: Any) -> None:
            super().send(message)
            raise Killed

    with DeadlyPost() as post, pytest.raises(Killed):
        deliveries.delivery_send(delivery, post=post, now=now)
