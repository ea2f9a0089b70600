"""Looking whether a sowing has come up."""

import numpy as np

from schedules.planner.drafts import Draft, Ground
from schedules.planner.growth import LONGEST_EMERGENCE_DAYS, emergence_of
from schedules.planner.sources import PRACTICE, SHORT_DAYS, SOIL_ESTIMATE, joined
from schedules.planner.types import Kind, Reason
from schedules.planner.windows import MIDDLE_PCT, Days, Span, fixed, median, percentile

LATEST_PCT = 90
FIRST_LOOK_DAYS, LOOK_DAYS, LAST_LOOK_DAYS = 1, 3, 7


def look_for_the_rows(ground: Ground) -> list[Draft]:
    """Ask for a look once nine members in ten have the rows up, while there may be time to sow again.

    Every member is sown on the best day, so that what differs is the waiting and not the day of sowing.
    """
    if ground.growth.emergence is None or not ground.growth.emerges:
        return []
    sown = fixed(percentile(ground.sowing.taken, MIDDLE_PCT), ground.curves.members)
    is_one_day = bool((sown == ground.sowing.taken).all())
    emergence = ground.growth.emergence if is_one_day else emergence_of(ground.request, ground.curves, sown)
    if emergence is not None:
        # Seed that has not shown when growth stops is lost, and no look next year finds it.
        lost = np.minimum(ground.growth.stops, sown + LONGEST_EMERGENCE_DAYS)
        emergence = np.minimum(emergence, np.maximum(lost, sown + 1))
    if emergence is None or percentile(emergence, LATEST_PCT) + LAST_LOOK_DAYS >= ground.curves.horizon:
        return []
    latest = percentile(emergence, LATEST_PCT)
    again = latest + LAST_LOOK_DAYS
    soil_c = soil_while_coming_up_c(ground, sown, emergence)
    values = ground.computed(
        showing_on=ground.day(percentile(emergence, MIDDLE_PCT)),
        latest_on=ground.day(latest),
        latest_pct=LATEST_PCT,
        soil_c=soil_c,
        seedlings_pct=seedlings_pct(ground, soil_c),
    )
    table = ground.crop.germination
    known = table.source if table else ground.source("emergence_sum_cd")
    span = Span(latest + FIRST_LOOK_DAYS, latest + LOOK_DAYS, again)
    reason = Reason("see_the_rows", values, joined(known, SOIL_ESTIMATE, PRACTICE))
    return [Draft(Kind.SHOWING, span, reason, notes=(_if_nothing_shows(ground, again),))]


def _if_nothing_shows(ground: Ground, again: int) -> Reason:
    """Say what to do about rows that are not up, and whether there is a season left to sow them again."""
    values = ground.computed(
        again_on=ground.day(again),
        last_useful_on=ground.day(ground.sowing.closes),
        is_in_time=again <= ground.sowing.closes,
    )
    return Reason("rows_not_up", values, joined(SHORT_DAYS, PRACTICE))


def soil_while_coming_up_c(ground: Ground, sown: Days, emergence: Days) -> float:
    """Return the median over members of the mean soil temperature from sowing to emergence."""
    begun = np.clip(sown, 0, ground.curves.horizon - 1).astype(int)
    ended = np.clip(emergence, begun + 1, ground.curves.horizon).astype(int)
    first, last = begun.min(), ended.max()
    soil_c = ground.curves.rows_c[:, first:last]
    at = np.arange(first, last)
    waits = (at >= begun[:, None]) & (at < ended[:, None])
    return round(median(soil_c.mean(axis=1, where=waits)), 1)


def seedlings_pct(ground: Ground, soil_c: float) -> int | None:
    """Return the share of seed that the trial brought up as normal seedlings; None outside the trial."""
    table = ground.crop.germination
    if table is None or ground.is_true("germination_stand_in"):
        return None
    tried_c, share = table.stand
    if not tried_c or not tried_c[0] <= soil_c <= tried_c[-1]:
        return None
    return round(float(np.interp(soil_c, tried_c, share)))
