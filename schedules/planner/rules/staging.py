"""When a stage of tending falls due, by warmth gathered since the rows showed."""

from collections.abc import Sequence

import numpy as np

from schedules.planner.demands import ordinary_degree_days
from schedules.planner.drafts import Ground
from schedules.planner.windows import Span


def stage_spans(ground: Ground, after: Sequence[float]) -> list[Span]:
    """Return when the warmth of so many days each of ordinary weather has passed since the rows showed.

    Growth that stops first holds a stage at the standstill, ripeness at the first lifting.
    """
    if not after:
        return []
    totals = [ordinary_degree_days(ground.crop, days) for days in after]
    reached = ground.curves.heats_reached(ground.growth.stage_start, totals)
    latest = np.maximum(np.minimum(ground.growth.ripe_first, ground.growth.stops), ground.sowing.taken)
    return [Span.over(each) for each in np.minimum(reached, latest)]
