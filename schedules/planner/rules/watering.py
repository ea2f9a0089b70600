"""Water, only when it pays."""

import numpy as np

from schedules.agronomy.seedbed_water import PARCHED_SOURCE
from schedules.agronomy.soil_water import BALANCE_SOURCE, stage_ends
from schedules.agronomy.soils import soil_of
from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.root_water import (
    LOOK_DAYS,
    SOAKING_MM,
    Account,
    account_of,
    is_grown,
    stands,
    waterings,
)
from schedules.planner.sources import OWN_RECORD, PRACTICE, joined
from schedules.planner.types import Kind, Reason, State, Values
from schedules.planner.windows import Days, Span

SLOT_DAYS = 14
CAN_LITRES = 10
DRILL_STRIP_M = 0.15
WIDE_SPACING_MM = 300
NEAREST_DEPTH_MM = 50
# When water does most, by what is eaten. Ripening bulbs are left dry.
DEMANDING = {
    "tubers": "the tubers set and swell",
    "pods": "the plants flower and the pods fill",
    "fruits": "the plants flower and the fruits swell",
    "berries": "the berries swell",
    "cobs": "the plants flower and the cobs fill",
    "bulbs": "the bulbs swell",
    "heads": "the heads form",
}
DEMANDING_SOURCE = (
    "Doorenbos and Kassam, FAO Irrigation and Drainage Paper 33, 1979, sensitive periods (from memory); for "
    f"other crops {PRACTICE}"
)
NO_RAIN = "neither rain readings nor monthly rain are entered for this site"


def water(ground: Ground) -> list[Draft]:
    """Ask for water where more than the crop reaches easily will be gone within a fortnight.

    Nothing is asked before the crop is in the ground, where the rain is unknown, or where fewer than half of
    the members run short.
    """
    if not stands(ground):
        return []
    given = [_was_watered(ground, stage, day) for stage, day in waterings(ground).items()]
    account = None if is_grown(ground) else account_of(ground)
    if account is None or not _runs_short(account):
        return given
    need = account.need
    span = Span(*(min(each, account.closes) for each in Span.over(need)))
    notes = [practice("water_the_soil", PRACTICE), *_demanding(ground, account, need)]
    if ground.request.container_height_cm:
        notes.append(practice("containers_dry_faster", PRACTICE))
    return [
        *given,
        Draft(Kind.WATER, span, _why(ground, account), _stage(ground, span.best), notes=tuple(notes)),
    ]


def water_outlook(ground: Ground) -> list[Reason]:
    """Say how the ground stands for water: in need, in no need, or not known. Always one reason.

    A crop that is lifted has none.
    """
    if not ground.sowing.is_done:
        return [practice("water_before_sowing", PRACTICE, grown_from=ground.crop.grown_from)]
    if not stands(ground):
        return []
    if is_grown(ground):
        return [practice("water_no_more", PRACTICE)]
    account = account_of(ground)
    if account is None:
        return [Reason("water_not_known", {"is_container": _is_container(ground)}, NO_RAIN)]
    if _runs_short(account):
        values = {**_state(ground, account), "need_on": ground.day(Span.over(account.need).best)}
        return [Reason("water_needed", values, _source(account))]
    return [Reason("water_no_need", _state(ground, account), _source(account))]


def _runs_short(account: Account) -> bool:
    return Span.over(account.need).best <= account.closes


def _is_container(ground: Ground) -> bool:
    return bool(ground.request.container_height_cm)


def _source(account: Account) -> str:
    return joined(BALANCE_SOURCE, account.use_source, soil_of(account.soil).source)


def _state(ground: Ground, account: Account) -> Values:
    """Return how much of the easily available water is left as today begins."""
    yesterday = np.full(ground.curves.members, float(max(account.today - 1, account.begin)))
    readily = account.median_on(account.zone.readily_mm, yesterday)
    left = max(0.0, readily - account.median_on(account.zone.depletion_mm, yesterday))
    depth_mm = 1000 * account.median_on(account.depth_m, yesterday)
    return ground.computed(
        soil=account.soil,
        is_up=bool(account.is_up[:, account.today - account.begin].mean() >= 0.5),
        is_container=_is_container(ground),
        depth_mm=NEAREST_DEPTH_MM * round(depth_mm / NEAREST_DEPTH_MM),
        left_mm=round(left),
        left_pct=round(100 * left / readily),
        look_days=LOOK_DAYS,
        needing_pct=account.needing_pct,
        unread_days=account.unread_days,
    )


def _why(ground: Ground, account: Account) -> Reason:
    """Return the reason for the job: the roots run short, or the seed-bed dries out before the rows show."""
    need = account.need
    values = {
        **_state(ground, account),
        "need_on": ground.day(Span.over(need).best),
        "row_spacing_mm": ground.figure("row_spacing_mm"),
    }
    if account.median_on(account.is_up.astype(float), need) < 0.5:
        strip_mm = account.median_on(account.surface_mm, need)
        values["litres_per_metre"] = _litres(strip_mm * DRILL_STRIP_M)
        source = joined(PARCHED_SOURCE, soil_of(account.soil).source, PRACTICE)
        return Reason("water_the_seedbed", values, source)
    refill_mm = round(min(SOAKING_MM, account.median_on(account.zone.depletion_mm, need)))
    return Reason("water_the_roots", {**values, **_amounts(ground, refill_mm)}, _source(account))


def _amounts(ground: Ground, refill_mm: int) -> Values:
    """Return what to give: to a metre of row, to one widely set plant, and to the whole sowing."""
    row_mm, plant_mm = ground.figure("row_spacing_mm"), ground.figure("in_row_spacing_mm") or 0.0
    area_m2 = ground.request.area_m2
    is_wide = plant_mm >= WIDE_SPACING_MM
    return {
        "refill_mm": refill_mm,
        "litres_per_metre": _litres(refill_mm * row_mm / 1000) if row_mm else None,
        "litres_per_plant": _litres(refill_mm * row_mm * plant_mm / 1e6) if row_mm and is_wide else None,
        "area_m2": area_m2,
        "cans": None if area_m2 is None else max(1, round(refill_mm * area_m2 / CAN_LITRES)),
        "can_litres": CAN_LITRES,
    }


def _litres(litres: float) -> float:
    """Round to what a can can be trusted to give: half a litre at the least, whole litres from three on."""
    return float(round(litres)) if litres >= 3 else max(0.5, round(litres * 2) / 2)


def _demanding(ground: Ground, account: Account, need: Days) -> list[Reason]:
    when = DEMANDING.get(ground.text("harvested_part"))
    _, full, late, _ = stage_ends(account.use)
    if when is None or not full <= account.median_on(account.life, need) <= late:
        return []
    return [Reason("water_does_most_now", {"when": when}, DEMANDING_SOURCE)]


def _stage(ground: Ground, best: int) -> int:
    """Number the fortnights since sowing, past what was watered already; a need put off keeps its number."""
    prefix = f"{ground.request.key}/{Kind.WATER}-"
    for key, outcome in ground.record.items():
        if not key.startswith(prefix) or outcome.state is not State.PUT_OFF or outcome.on is None:
            continue
        if ground.curves.climate.index_of(outcome.on) >= ground.curves.today:
            return int(key.removeprefix(prefix))
    sown = Span.over(ground.sowing.taken).best
    return max(1 + (best - sown) // SLOT_DAYS, *(stage + 1 for stage in waterings(ground)), 1)


def _was_watered(ground: Ground, stage: int, day: int) -> Draft:
    values: Values = {"day": ground.day(day), "given_mm": SOAKING_MM}
    return Draft(Kind.WATER, Span.on(day), Reason("was_watered", values, joined(OWN_RECORD, PRACTICE)), stage)
