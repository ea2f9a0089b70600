"""deliveries_send with a barrier after every pick: `python -m tests.chain.runner claimed|unclaimed`.

'unclaimed' is the control: the pick becomes a plain read of what is due and every move is unconditional,
as in a sender that trusts its list. The rest is the code as it is.
"""

import sys
from datetime import datetime

import django

django.setup()

from schedules import deliveries, tasks  # noqa: E402 - models only after the set-up
from schedules.deliveries import claiming, sending  # noqa: E402
from schedules.models import Delivery  # noqa: E402
from tests.chain.unclaimed import move_anyway, plain_read  # noqa: E402


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
