"""When a stage of tending falls due, by warmth gathered since the rows showed."""

import numpy as np

from schedules.planner.demands import ordinary_degree_days
from schedules.planner.drafts import Ground
from schedules.planner.windows import Span


def stage_span(ground: Ground, days: float) -> Span:
    """Return when the warmth of ``days`` of ordinary weather has passed since the rows showed.

    Growth that stops first holds the stage at the standstill, ripeness at the first lifting.
    """
    total = ordinary_degree_days(ground.crop, days)
    reached = ground.curves.heat_reached(ground.growth.stage_start, total)
    latest = np.maximum(np.minimum(ground.growth.ripe_first, ground.growth.stops), ground.sowing.taken)
    return Span.over(np.minimum(reached, latest))
