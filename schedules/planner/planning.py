"""The planner: one sowing and its climate in, dated jobs with reasons out."""

from dataclasses import dataclass
from datetime import date, timedelta

from plots.crops import Crop
from schedules.agronomy.climate import Ensemble
from schedules.planner.chain import chained
from schedules.planner.curves import Curves
from schedules.planner.demands import base_c, optimum_c
from schedules.planner.drafts import Draft, Ground
from schedules.planner.gamble import risky_sowing
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
    never_fit,
    sowing_warnings,
    weather_warnings,
)
from schedules.planner.seasons import seasons_of
from schedules.planner.site_curves import SiteCurves
from schedules.planner.sowing import choose_sowing, cover_laid_on
from schedules.planner.types import (
    Kind,
    Plan,
    Reason,
    Record,
    SiteFacts,
    SowingRequest,
    State,
    Window,
)
from schedules.planner.windows import Span

SPIN_UP_DAYS = 45
# A season that opens two years on still has to be seen to its end, and the winter after it.
TAIL_DAYS = 366 * YEARS_AHEAD + 70
# The jobs whose record a rule may look at. A rule that needs another adds it here, or it is not shown it.
HEEDED = (Kind.RAISE, Kind.WARM, Kind.SOW, Kind.SHOWING, Kind.LIFT)
HEEDED_STAGES = (Kind.WATER,)
FLIGHT_STARTS_NORTH = (1, 1)
FLIGHT_STARTS_SOUTH = (7, 1)


def span(request: SowingRequest, site: SiteFacts, record: Record, today: date) -> tuple[date, int]:
    """Return the first day and the number of days of weather that ``plan`` wants laid out.

    The start takes in the last 1 January (1 July in the south) before the sowing: the earliest flights
    count from it.
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


@dataclass(frozen=True, slots=True)
class Outline:
    """A plan before order and record are laid over it: the same for all sowings that ask the same.

    It holds no arrays, so that thousands of them may be kept.
    """

    first: date
    crop: Crop
    sow: Window | None
    emergence: Window | None
    drafts: tuple[Draft, ...]
    warnings: tuple[Reason, ...]
    outlook: tuple[Reason, ...] = ()


def heeded(record: Record, request_key: str) -> Record:
    """Return the part of a record that the rules themselves may look at; the chain reads all of it."""
    keys = {f"{request_key}/{kind}" for kind in HEEDED}
    staged = tuple(f"{request_key}/{kind}-" for kind in HEEDED_STAGES)
    return {key: outcome for key, outcome in record.items() if key in keys or key.startswith(staged)}


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
    outline = outlined(request, record, today, shared_curves(climate, site, shared))
    return completed(outline, request.key, record)


def outlined(request: SowingRequest, record: Record, today: date, shared: SiteCurves) -> Outline:
    """Work out what a sowing asks for, heeding of the record only what ``heeded`` leaves."""
    record = heeded(record, request.key)
    curves = Curves(
        shared,
        base_c(request.crop),
        request.cover,
        (cover_laid_on(request, record, today) - shared.first).days,
        shared.index_of(today, "today"),
        optimum_c(request.crop),
    )
    seasons = seasons_of(shared, curves.base_c)
    sowing = choose_sowing(request, curves, seasons, record) or risky_sowing(request, curves, seasons, record)
    if sowing is None:
        warnings = (never_fit(request, curves), *weather_warnings(curves))
        return Outline(shared.first, request.crop, sow=None, emergence=None, drafts=(), warnings=warnings)

    growth = growth_of(request, curves, seasons, sowing, _showed_on(request, curves, record))
    ground = Ground(request, shared.site, curves, sowing, growth, record)
    drafts = drafts_of(ground)
    emergence = ground.growth.emergence if ground.growth.emerges else None
    return Outline(
        first=shared.first,
        crop=request.crop,
        sow=sowing.season_span.dates(curves.first),
        emergence=None if emergence is None else Span.over(emergence).dates(curves.first),
        drafts=tuple(drafts),
        warnings=(
            *sowing_warnings(ground),
            *outlook(ground),
            *bolting_warnings(ground),
            *guarding.trap_warnings(ground),
            *weather_warnings(curves),
        ),
        outlook=(
            *seedbed.ground_today(ground),
            *watering.water_outlook(ground),
            *seed_outlook(ground),
            *frost_outlook(ground),
        ),
    )


def _showed_on(request: SowingRequest, curves: Curves, record: Record) -> int | None:
    """Return the day on which the rows were seen to show, where somebody recorded it of seed."""
    outcome = record.get(f"{request.key}/{Kind.SHOWING}")
    is_seen = outcome is not None and outcome.state is State.DONE and request.crop.grown_from == "seed"
    if outcome is None or outcome.on is None or not is_seen:
        return None
    return curves.index_of(outcome.on, f"record of {request.key}/showing")


def completed(outline: Outline, request_key: str, record: Record) -> Plan:
    """Lay order and record over an outline, under the keys of one sowing."""
    return Plan(
        request_key=request_key,
        crop_key=outline.crop.key,
        sow=outline.sow,
        emergence=outline.emergence,
        jobs=chained(
            list(outline.drafts),
            request_key=request_key,
            crop=outline.crop,
            first=outline.first,
            record=record,
        ),
        warnings=outline.warnings,
        outlook=outline.outlook,
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
