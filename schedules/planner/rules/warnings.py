"""What to beware of: each warning a reason with its figures."""

from datetime import date

from schedules.agronomy.climate import BRIDGE
from schedules.planner.curves import Curves
from schedules.planner.demands import (
    AFTER_MIDSUMMER,
    AS_IT_COOLS,
    establish_days,
    hottest_month_c,
    maturity_source,
    opens,
    threshold_c,
    threshold_source,
)
from schedules.planner.drafts import Ground
from schedules.planner.heat import always_too_hot
from schedules.planner.seasons import AUTUMN_ALLOWANCE_DAYS
from schedules.planner.sources import DRY_ENOUGH, OWN_RECORD, SHORT_DAYS, SOIL_ESTIMATE, joined
from schedules.planner.sowing import is_good_small, plants_ready
from schedules.planner.types import Reason, Scalar, SowingRequest, Values
from schedules.planner.windows import MIDDLE_PCT, percentile

YEARS_AHEAD = 2
WET_SHARE = 0.2
# A week more or less does young plants no harm: common practice, no published source.
YOUNG_DAYS = 7
# Members moved about normals are no years; their share is told in tenths.
ODDS_OF = 10


def sowing_warnings(ground: Ground) -> list[Reason]:
    """Return what is doubtful about the day of sowing."""
    found = [
        *_risky(ground),
        *_wrong_soil(ground),
        *_stays_wet(ground),
        *_too_early(ground),
        *_too_young(ground),
        *_too_late(ground),
        *_short_season(ground),
        *_overdue(ground),
    ]
    if ground.sowing.is_rolled:
        values = ground.computed(
            opens_on=ground.day(percentile(ground.sowing.planned, MIDDLE_PCT)),
            grown_from=ground.crop.grown_from,
        )
        found.append(Reason("next_season_instead", values, SHORT_DAYS))
    if not ground.growth.emerges:
        table = ground.crop.germination
        source = table.source if table else ground.source("emergence_sum_cd")
        soil_c = ground.curves.median_on(ground.curves.rows_c, ground.sowing.taken)
        found.append(Reason("may_not_emerge", ground.computed(soil_c=soil_c), source))
    return found


def _risky(ground: Ground) -> list[Reason]:
    """Say in how many years a gamble comes off, where most years offer no day."""
    sowing, crop = ground.sowing, ground.crop
    if sowing.odds == 1.0:
        return []
    of_years = ground.curves.members if ground.curves.climate.basis == "years" else ODDS_OF
    values = ground.computed(
        years=max(1, round(sowing.odds * of_years)),
        of_years=of_years,
        sow_on=ground.day(sowing.span.best),
        last_useful_on=ground.day(sowing.closes),
        crop=crop.name_in_text,
        part=ground.text("harvested_part"),
        grown_from=crop.grown_from,
        is_small=is_good_small(crop),
        is_rooting=establish_days(crop) is not None,
    )
    source = joined(maturity_source(crop), threshold_source(crop), SHORT_DAYS)
    return [Reason("risky_season", values, source)]


def _wrong_soil(ground: Ground) -> list[Reason]:
    sowing, curves, wanted_c = ground.sowing, ground.curves, threshold_c(ground.crop)
    soil_c = curves.median_on(curves.seedbed_c, sowing.planned)
    cooling = opens(ground.crop) == AS_IT_COOLS
    is_fit = soil_c <= wanted_c if cooling else soil_c >= wanted_c
    if ground.request.sow_on is None or sowing.is_done or sowing.is_autumn or is_fit:
        return []
    values = ground.computed(
        sow_on=ground.day(sowing.planned[0]), soil_c=soil_c, practical_sow_soil_c=wanted_c
    )
    rule = "soil_too_warm" if cooling else "soil_too_cold"
    return [Reason(rule, values, joined(threshold_source(ground.crop), SOIL_ESTIMATE))]


def _stays_wet(ground: Ground) -> list[Reason]:
    """Warn where the ground may not dry in time, so that warmth alone decided."""
    sowing = ground.sowing
    if sowing.wet_share <= WET_SHARE:
        return []
    values = ground.computed(
        wet_pct=round(sowing.wet_share * 100),
        last_useful_on=ground.day(sowing.closes),
        soil=ground.site.soil,
        grown_from=ground.crop.grown_from,
    )
    return [Reason("ground_may_stay_wet", values, DRY_ENOUGH)]


def _too_early(ground: Ground) -> list[Reason]:
    sowing = ground.sowing
    is_early = sowing.planned[0] < sowing.season.midsummer
    if sowing.is_done or opens(ground.crop) != AFTER_MIDSUMMER or not is_early:
        return []
    values: Values = {
        "sow_on": ground.day(sowing.planned[0]),
        "midsummer_on": ground.day(sowing.season.midsummer),
    }
    return [Reason("before_midsummer", values, ground.source("opens"))]


def _too_young(ground: Ground) -> list[Reason]:
    """Say that plants begun late are not ready on the day that was set."""
    ready, sowing = plants_ready(ground.request, ground.curves, ground.record), ground.sowing
    day = percentile(sowing.planned, MIDDLE_PCT)
    if sowing.is_done or ground.request.sow_on is None or ready <= day + YOUNG_DAYS:
        return []
    values: Values = {
        "sow_on": ground.day(day),
        "ready_on": ground.day(ready),
        "raising_days": ground.crop.number("raising_days"),
    }
    return [Reason("plants_not_ready", values, ground.source("raising_days"))]


def _too_late(ground: Ground) -> list[Reason]:
    sowing = ground.sowing
    day = percentile(sowing.taken, MIDDLE_PCT)
    if day <= sowing.closes:
        return []
    values = ground.computed(
        sow_on=ground.day(day),
        last_useful_on=ground.day(sowing.closes),
        days_middle=_days_wanted(ground.request),
        allowance_days=AUTUMN_ALLOWANCE_DAYS,
        part=ground.text("harvested_part"),
        grown_from=ground.crop.grown_from,
    )
    return [Reason("too_late_to_grow", values, joined(maturity_source(ground.crop), SHORT_DAYS))]


def _short_season(ground: Ground) -> list[Reason]:
    """Say that only the quickest sorts fit where the season is too short for the middle of the days.

    On a day that is too late for those as well there is nothing to choose.
    """
    if percentile(ground.sowing.taken, MIDDLE_PCT) > ground.sowing.closes:
        return []
    if not ground.sowing.closing.is_short or not ground.request.has_days:
        return []
    values = ground.computed(
        days_min=round(ground.request.days_min),
        days_middle=round(ground.request.days_middle),
        crop=ground.crop.name_in_text,
    )
    return [Reason("season_is_short", values, joined(maturity_source(ground.crop), SHORT_DAYS))]


def _days_wanted(request: SowingRequest) -> float | None:
    return establish_days(request.crop) or (request.days_middle if request.has_days else None)


def _overdue(ground: Ground) -> list[Reason]:
    sowing = ground.sowing
    if sowing.is_done or ground.request.sow_on is None or sowing.planned[0] >= ground.curves.today:
        return []
    values: Values = {
        "sow_on": ground.day(sowing.planned[0]),
        "counted_from": ground.day(sowing.taken[0]),
        "is_past_use": bool(sowing.taken[0] < ground.curves.today),
    }
    return [Reason("sowing_not_recorded", values, OWN_RECORD)]


def weather_warnings(curves: Curves) -> list[Reason]:
    """Warn of days that were to be observed and were not, bridged or left open."""
    climate = curves.climate
    if climate.observed_until is None:
        return []
    observed_until = climate.observed_until.isoformat()
    found: list[Reason] = []
    if climate.missing_days:
        values: dict[str, Scalar] = {
            "missing_days": int(climate.missing_days),
            "observed_until": observed_until,
        }
        open_days = climate.is_missing.nonzero()[0]
        if open_days.size:
            values["missing_from"] = climate.date_at(open_days[0]).isoformat()
            values["missing_until"] = climate.date_at(open_days[-1]).isoformat()
        found.append(Reason("weather_has_gaps", values, OWN_RECORD))
    if climate.bridged_days:
        values = {"bridged_days": int(climate.bridged_days), "observed_until": observed_until}
        found.append(Reason("weather_was_bridged", values, joined(OWN_RECORD, BRIDGE)))
    return found


def record_warnings(first: date, last: date, today: date) -> list[Reason]:
    """Warn of a weather record that reaches past today, as a door finds it when it reads one."""
    if last < today:
        return []
    rule = "record_lies_ahead" if first >= today else "record_runs_past_today"
    values: Values = {
        "record_from": first.isoformat(),
        "record_until": last.isoformat(),
        "today": today.isoformat(),
    }
    return [Reason(rule, values, OWN_RECORD)]


def never_fit(request: SowingRequest, curves: Curves) -> Reason:
    """Say honestly that no day is fit."""
    hottest_c = always_too_hot(request, curves)
    values: Values = {
        "crop": request.crop.name_in_text,
        "opens": opens(request.crop),
        "practical_sow_soil_c": threshold_c(request.crop),
        "warmest_soil_c": round(float(curves.seedbed_c.max()), 1),
        "coldest_soil_c": round(float(curves.seedbed_c.min()), 1),
        "years_ahead": YEARS_AHEAD,
        "hottest_c": hottest_c,
        "is_at_ripening": hottest_c is not None and hottest_c == hottest_month_c(request.crop),
        "searched_from": request.not_before.isoformat(),
        **curves.basis,
    }
    return Reason("no_day_is_fit", values, joined(SOIL_ESTIMATE, SHORT_DAYS))
