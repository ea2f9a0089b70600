"""deliveries_send with a barrier after every pick: `python -m tests.chain.runner claimed|unclaimed`.

'unclaimed' is the control: the pick becomes a plain read of what is due and every move is unconditional,
as in a sender that trusts its list. The rest is the code as it is.
"""

import sys
from datetime import datetime
from typing import Any

import django

django.setup()

from schedules import deliveries, tasks  # noqa: E402 - models only after the set-up
from schedules.deliveries import claiming, sending  # noqa: E402
from schedules.models import Delivery  # noqa: E402


def plain_read(*, now: datetime, limit: int) -> list[Delivery]:
    due = Delivery.objects.filter(state=Delivery.State.DUE, not_before__lte=now)
    return list(due.select_related("member__society", "member__letters_wanted")[:limit])


def move_anyway(delivery: Delivery, *, to: str, now: datetime, **rest: Any) -> bool:
    Delivery.objects.filter(pk=delivery.pk).update(state=to)
    delivery.state = to
    return True


def main() -> None:
    pick = claiming.deliveries_claim
    if sys.argv[1] == "unclaimed":
        pick = plain_read
        sending.delivery_advance = move_anyway

    def pick_and_wait(*, now: datetime, limit: int) -> list[Delivery]:
        picked = pick(now=now, limit=limit)
        print(len(picked), flush=True)
        sys.stdin.readline()
        return picked

    deliveries.deliveries_claim = pick_and_wait
    tasks.deliveries_send()


if __name__ == "__main__":
    main()
