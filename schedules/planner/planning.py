"""The planner: one sowing and its climate in, dated jobs with reasons out."""

from datetime import date, timedelta

from schedules.agronomy.climate import Ensemble
from schedules.planner.chain import chained
from schedules.planner.curves import Curves
from schedules.planner.demands import base_c
from schedules.planner.drafts import Draft, Ground
from schedules.planner.growth import growth_of
from schedules.planner.rules import (
    earthing,
    guarding,
    harvest,
    raising,
    seedbed,
    showing,
    storing,
    tending,
    watering,
)
from schedules.planner.rules.bolting import bolting_warnings
from schedules.planner.rules.frost import frost_outlook
from schedules.planner.rules.outlook import outlook
from schedules.planner.rules.supply import seed_outlook
from schedules.planner.rules.warnings import (
    YEARS_AHEAD,
    cover_warnings,
    never_fit,
    sowing_warnings,
    weather_warnings,
)
from schedules.planner.seasons import seasons_of
from schedules.planner.site_curves import SiteCurves
from schedules.planner.sowing import choose_sowing, cover_laid_on
from schedules.planner.types import Kind, Plan, Record, SiteFacts, SowingRequest, State
from schedules.planner.windows import Span

SPIN_UP_DAYS = 45
# A season that opens two years on still has to be seen to its end, and the winter after it.
TAIL_DAYS = 366 * YEARS_AHEAD + 70
FLIGHT_STARTS_NORTH = (3, 1)
FLIGHT_STARTS_SOUTH = (9, 1)


def span(request: SowingRequest, site: SiteFacts, record: Record, today: date) -> tuple[date, int]:
    """Return the first day and the number of days of weather that ``plan`` wants laid out.

    The start takes in the last 1 March (1 September in the south) before the sowing: flights count from it.
    """
    outcome = record.get(f"{request.key}/{Kind.SOW}")
    sown = outcome.on if outcome and outcome.state is State.DONE and outcome.on else None
    asked = sown or request.sow_on or request.not_before
    earliest, latest = min(asked, today), max(asked, today)
    month, day = FLIGHT_STARTS_SOUTH if site.southern else FLIGHT_STARTS_NORTH
    counts_from = date(earliest.year, month, day)
    if counts_from > earliest:
        counts_from = counts_from.replace(year=earliest.year - 1)
    first = min(counts_from, earliest - timedelta(days=SPIN_UP_DAYS))
    return first, (latest - first).days + TAIL_DAYS


def plan(
    request: SowingRequest,
    site: SiteFacts,
    climate: Ensemble,
    record: Record,
    today: date,
    shared: SiteCurves | None = None,
) -> Plan:
    """Work out one sowing's jobs. Pure: the same input gives the same jobs under the same keys.

    ``shared`` is a SiteCurves of this very ``climate`` and ``site``, to be handed from sowing to sowing: it
    saves work and changes nothing.

    Raises PlanFault where a date of the request, the record or ``today`` lies outside ``climate``; lay the
    weather out with ``span``.
    """
    laid = (cover_laid_on(request, record) - climate.first).days
    shared = shared_curves(climate, site, shared)
    curves = Curves(shared, base_c(request.crop), request.cover, laid, shared.index_of(today, "today"))
    seasons = seasons_of(shared, curves.base_c)
    sowing = choose_sowing(request, curves, seasons, record)
    if sowing is None:
        warnings = (never_fit(request, curves), *weather_warnings(curves))
        return Plan(request.key, request.crop.key, sow=None, emergence=None, jobs=(), warnings=warnings)

    ground = Ground(request, site, curves, sowing, growth_of(request, curves, seasons, sowing.taken))
    drafts = drafts_of(ground)
    emergence = ground.growth.emergence if ground.growth.emerges else None
    return Plan(
        request_key=request.key,
        crop_key=request.crop.key,
        sow=sowing.season_span.dates(curves.first),
        emergence=None if emergence is None else Span.over(emergence).dates(curves.first),
        jobs=chained(drafts, request_key=request.key, crop=request.crop, curves=curves, record=record),
        warnings=(
            *sowing_warnings(ground),
            *outlook(ground),
            *bolting_warnings(ground),
            *cover_warnings(request, drafts),
            *weather_warnings(curves),
        ),
        outlook=(*watering.water_outlook(ground), *seed_outlook(ground), *frost_outlook(ground)),
    )


def shared_curves(climate: Ensemble, site: SiteFacts, shared: SiteCurves | None) -> SiteCurves:
    """Return the curves handed in, or new ones; ValueError when they are of another weather or site."""
    if shared is None:
        return SiteCurves(climate, site)
    if shared.climate is not climate or shared.site != site:
        raise ValueError(
            "plan: shared curves belong to another climate or site; build SiteCurves(climate, site)"
        )
    return shared


def drafts_of(ground: Ground) -> list[Draft]:
    """Ask every rule for its jobs."""
    thinnings = tending.thin(ground)
    covering = guarding.cover_the_rows(ground, thinnings[0].span.start if thinnings else None)
    lifting = harvest.lift(ground)
    storing_away = storing.store(ground, lifting)
    return [
        *raising.raise_under_cover(ground),
        *seedbed.warm_the_ground(ground),
        *seedbed.sow(ground),
        *covering,
        *showing.look_for_the_rows(ground),
        *tending.weed(ground),
        *thinnings,
        *earthing.earth_up(ground),
        *watering.water(ground),
        *guarding.uncover(ground, covering, lifting),
        *harvest.necks(ground, lifting),
        *lifting,
        *storing_away,
        *storing.look_over_store(ground, storing_away),
        *harvest.resow(ground),
    ]
