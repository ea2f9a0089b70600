"""On which day a sheet must go on for a sowing on a set day, and whether it will do."""

import numpy as np

from schedules.agronomy.soil_temperature import COVER_SUN_SOURCE, COVER_WARMTH_C, COVER_WARMTH_SOURCE
from schedules.planner.demands import threshold_c
from schedules.planner.drafts import Draft, Ground
from schedules.planner.fitness import DAYS_RUNNING
from schedules.planner.site_curves import BoolArray, FloatArray
from schedules.planner.sources import PRACTICE, SOIL_ESTIMATE, joined
from schedules.planner.types import Cover, Kind, Reason
from schedules.planner.windows import Span

# Tried from the shortest on: a sheet lies no longer than it must, for weeds and slugs like it too.
LEADS_DAYS = (14, 21, 28, 42, 56)
LATER_DAYS = 75
IN_MOST = 0.5
EITHER_WAY_DAYS = 4


def warm_for_the_day(ground: Ground, cover: Cover) -> list[Draft]:
    """Ask for a sheet where bare soil is likely to be too cold on the day set, reckoned back from it."""
    curves, wanted_c = ground.curves, threshold_c(ground.crop)
    day = int(ground.sowing.planned[0])
    bare_c = curves.soil_c[:, max(0, day - DAYS_RUNNING + 1) : day + 1]
    bare_share = float((bare_c >= wanted_c).all(axis=1).mean())
    if bare_share >= IN_MOST or day <= max(curves.today, DAYS_RUNNING):
        return []
    leads = [each for each in LEADS_DAYS if day - each >= max(0, curves.today)] or [day - curves.today]
    shares = [_share_on(ground, cover, day - lead, day) for lead in leads]
    enough = next((at for at, share in enumerate(shares) if share >= IN_MOST), int(np.argmax(shares)))
    laid, share = day - leads[enough], shares[enough]
    if share <= bare_share and leads[-1] < LEADS_DAYS[0]:
        return []  # too late for a sheet to do anything; soil_too_cold says the rest
    fit_on = None if share >= IN_MOST else _fit_on(ground, cover, laid, day)
    values = ground.computed(
        cover=str(cover),
        grown_from=ground.crop.grown_from,
        is_set=ground.request.cover is not Cover.NONE,
        warmth_c=float(COVER_WARMTH_C[cover]),
        soil_c=round(float(np.median(bare_c[:, -1])), 1),
        practical_sow_soil_c=wanted_c,
        sow_on=ground.day(day),
        lead_days=day - laid,
        enough_pct=round(share * 100),
        bare_pct=round(bare_share * 100),
        is_enough=share >= IN_MOST,
        fit_on=None if fit_on is None else ground.day(fit_on),
    )
    source = joined(COVER_WARMTH_SOURCE[cover], COVER_SUN_SOURCE, SOIL_ESTIMATE, PRACTICE)
    span = Span(laid - EITHER_WAY_DAYS, laid, laid + EITHER_WAY_DAYS)
    reason = Reason("warm_for_the_day", values, source)
    return [Draft(Kind.WARM, span.no_later_than(ground.sowing.span), reason)]


def _share_on(ground: Ground, cover: Cover, laid: int, day: int) -> float:
    """Return the share of members warm enough on a day and the two before, under a sheet since ``laid``."""
    soil_c = ground.curves.soil_between(cover, laid, day - DAYS_RUNNING + 1, day + 1)
    return float((soil_c >= threshold_c(ground.crop)).all(axis=1).mean())


def _fit_on(ground: Ground, cover: Cover, laid: int, day: int) -> int | None:
    """Return the first later day that is warm enough under the sheet in most members."""
    stop = min(day + LATER_DAYS, ground.curves.horizon)
    soil_c: FloatArray = ground.curves.soil_between(cover, laid, day, stop)
    warm: BoolArray = soil_c >= threshold_c(ground.crop)
    runs = np.lib.stride_tricks.sliding_window_view(warm, DAYS_RUNNING, axis=1).all(axis=2).mean(axis=0)
    found = np.flatnonzero(runs >= IN_MOST)
    return day + int(found[0]) + DAYS_RUNNING - 1 if found.size else None
