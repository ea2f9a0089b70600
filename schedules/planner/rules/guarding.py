"""Covering a sowing against what flies."""

import numpy as np

from schedules.agronomy.flights import CARROT_FLY, flight_indices
from schedules.planner.curves import Curves
from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.sources import FLY_HEIGHT, PRACTICE, joined
from schedules.planner.types import Kind, Reason
from schedules.planner.windows import (
    LATE_PCT,
    MIDDLE_PCT,
    THREAT_PCT,
    Days,
    Span,
    fixed,
    percentile,
)

IN_HAND_DAYS = 7
TALL_CONTAINER_CM = 60.0
LOWEST_BOARD_CM = 10.0
LESS_CATCH_PCT_PER_CM = 0.84
SAME_SEASON_DAYS = 270
FIRST, SECOND, ON_THE_WING, NONE = "first", "second", "on the wing", "none"


def cover_the_rows(ground: Ground, first_thinning: int | None) -> list[Draft]:
    """Ask for a cover where the crop's own pest is about; ``first_thinning`` is the start of that window."""
    if ground.text("flight") == "carrot-fly" and "carrot-fly" in ground.site.insects:
        return _against_carrot_fly(ground, first_thinning)
    if ground.is_true("cover_seedlings"):
        reason = Reason("cover_seedlings", {"grown_from": ground.crop.grown_from}, PRACTICE)
        return [Draft(Kind.COVER, Span.over(ground.sowing.taken), reason)]
    return []


def uncover(ground: Ground, covering: list[Draft], lifting: list[Draft]) -> list[Draft]:
    """Ask for the cover to come off where nothing flies any more."""
    return []


def _against_carrot_fly(ground: Ground, first_thinning: int | None) -> list[Draft]:
    threat, flight = next_flight(
        ground.curves, ground.site.southern, ground.sowing.taken, ground.growth.stops
    )
    if flight == NONE or percentile(threat, THREAT_PCT) > percentile(ground.growth.ripe_last, LATE_PCT):
        return []
    if percentile(threat, THREAT_PCT) < ground.curves.today:
        flight = ON_THE_WING  # what lay ahead of the sowing no longer lies ahead of the grower
    sown = Span.over(ground.sowing.taken)
    by = max(percentile(threat, THREAT_PCT), sown.by)
    if first_thinning is not None:
        by = max(sown.by, min(by, first_thinning))
    best = min(by, max(sown.best, by - IN_HAND_DAYS))
    values = ground.computed(
        flight=flight,
        first_sum_cd=CARROT_FLY.events["start"].sum_cd,
        second_sum_cd=CARROT_FLY.events["second"].sum_cd,
        base_c=CARROT_FLY.events["start"].base_c,
        threat_pct=THREAT_PCT,
        is_before_thinning=first_thinning is not None and first_thinning < percentile(threat, THREAT_PCT),
        threat_on=ground.day(percentile(threat, THREAT_PCT)),
        threat_best_on=ground.day(percentile(threat, MIDDLE_PCT)),
    )
    reason = Reason(
        "cover_before_the_fly", values, joined(CARROT_FLY.sources["start"], CARROT_FLY.sources["second"])
    )
    return [Draft(Kind.COVER, Span(min(sown.start, best), best, by), reason, notes=tuple(_height(ground)))]


def next_flight(curves: Curves, southern: bool, sown: Days, stops: Days) -> tuple[Days, str]:
    """Return each member's next day with carrot flies about, from its sowing on, and which flight most meet.

    The first flight is over by its own sum; the second has none, so flies are taken to be about until growth
    stops that autumn.
    """
    threat = fixed(curves.horizon, curves.members)
    met = np.full(curves.members, NONE, dtype=object)
    earliest, latest = (curves.climate.date_at(int(day)).year for day in (sown.min(), sown.max()))
    # South of the equator the flights of a year are counted from the September before it.
    for year in range(latest + 1, earliest - 1 - southern, -1):
        flights = flight_indices(CARROT_FLY, curves.climate, year, southern)
        start, over, second = (curves.or_horizon(flights[event]) for event in ("start", "over", "second"))
        autumn = np.where((stops >= second) & (stops - second < SAME_SEASON_DAYS), stops, second)
        for name, opens, shuts in ((SECOND, second, autumn), (FIRST, start, over)):
            ahead = (sown <= shuts) & (opens < curves.horizon)
            threat = np.where(ahead, np.maximum(opens, sown), threat)
            met = np.where(ahead, np.where(opens < sown, ON_THE_WING, name), met)
    names, counts = np.unique(met.astype(str), return_counts=True)
    return threat, str(names[counts.argmax()])


def _height(ground: Ground) -> list[Reason]:
    height_cm = ground.request.container_height_cm
    if not height_cm or height_cm < TALL_CONTAINER_CM:
        return []
    return [
        practice(
            "height_is_no_cover",
            FLY_HEIGHT,
            container_height_cm=height_cm,
            claimed_height_cm=TALL_CONTAINER_CM,
            catch_at_60_cm_pct=catch_pct(60.0),
            catch_at_90_cm_pct=catch_pct(90.0),
        )
    ]


def catch_pct(height_cm: float) -> int:
    """Return the share of the catch near the ground still caught at a height, on a straight line."""
    return round(max(0.0, 100 - LESS_CATCH_PCT_PER_CM * (height_cm - LOWEST_BOARD_CM)))
