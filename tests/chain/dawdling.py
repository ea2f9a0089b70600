"""Loaded by a worker (`-I tests.chain.dawdling`): between picking a letter and sending it, it lets others in.

While the file that DAWDLING_UNCLAIMED names exists, it picks without a claim.
"""

import os
import time
from datetime import datetime
from pathlib import Path
from typing import Any

from schedules import deliveries
from schedules.deliveries import sending
from schedules.models import Delivery
from tests.chain.unclaimed import move_anyway, plain_read

DAWDLES_S = 0.3
unclaimed = Path(os.environ["DAWDLING_UNCLAIMED"])
claim, advance = deliveries.deliveries_claim, sending.delivery_advance


def pick(*, now: datetime, limit: int) -> list[Delivery]:
    picked = (plain_read if unclaimed.exists() else claim)(now=now, limit=limit)
    time.sleep(DAWDLES_S)
    return picked


def move(delivery: Delivery, **how: Any) -> bool:
    return move_anyway(delivery, **how) if unclaimed.exists() else advance(delivery, **how)


deliveries.deliveries_claim = pick
sending.delivery_advance = move
