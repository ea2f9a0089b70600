"""Working plans out and writing them down. The planner decides; this module only keeps its answers."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from plots.crops import crop as crop_of
from plots.models import BedKind, Site, Sowing
from plots.selectors import season_of
from schedules.agronomy.climate import ClimateFault, Ensemble
from schedules.models import Job, Outlook
from schedules.plan_selectors import family_last_season, records_of, sowings_to_plan
from schedules.planner import Job as PlannedJob
from schedules.planner import Plan, PlanFault, Reason, SiteFacts, SowingRequest, plan, span
from schedules.weather_selectors import climate
from society import clock
from society.zones import zone


def all_replan(*, now: datetime) -> int:
    """Work out every site's sowings again; returns how many jobs changed."""
    return sum(site_replan(site=site, now=now) for site in Site.objects.order_by("pk"))


def site_replan(*, site: Site, now: datetime) -> int:
    """Work out every open sowing of a site; returns how many jobs changed."""
    return _replan(site, sowings_to_plan(site, season=season_of(site, local_day(site, now))), now=now)


def sowing_replan(*, sowing: Sowing, now: datetime) -> int:
    """Work out one sowing; returns how many of its jobs changed."""
    site = sowing.patch.site
    return _replan(site, sowings_to_plan(site, only=sowing), now=now)


def local_day(site: Site, now: datetime) -> date:
    """The site's own date at an instant."""
    return clock.local_date(now, zone(site.zone))


def _replan(site: Site, sowings: Sequence[Sowing], *, now: datetime) -> int:
    if not sowings:
        return 0
    today = local_day(site, now)
    records = records_of(sowings)
    troubled = family_last_season(sowings)
    requests = [request_of(sowing, today=today, tired=sowing.pk in troubled) for sowing in sowings]
    try:
        weather = _weather(site, requests, records, today)
    except ClimateFault:
        return 0  # a site without any weather has no dates yet; its pages say so
    facts = SiteFacts(site.latitude, site.longitude, site.zone, carrot_fly=site.carrot_fly)
    plans = []
    for sowing, request in zip(sowings, requests, strict=True):
        answer = _plan_or_fault(request, facts, weather, records[sowing.pk], today)
        plans.append((sowing, answer))
    return _write(plans, now=now)


def request_of(sowing: Sowing, *, today: date, tired: bool) -> SowingRequest:
    """The question that a stored sowing puts to the planner."""
    bed = sowing.patch.bed
    container = bed is not None and bed.kind == BedKind.CONTAINER and bed.height_m > 0
    return SowingRequest(
        key=str(sowing.key),
        crop=crop_of(sowing.crop),
        sow_on=sowing.sown_on or sowing.sow_on,
        not_before=sowing.not_before or today,
        cover=sowing.cover,  # type: ignore[arg-type]  # the request turns the stored word into its kind
        container_height_cm=round(bed.height_m * 100, 1) if container and bed else None,
        same_family_last_year=tired,
    )


def _weather(site: Site, requests: Iterable[SowingRequest], records: Any, today: date) -> Ensemble:
    spans = [span(request, today) for request in requests]
    first = min(begin for begin, _ in spans)
    last = max(begin + timedelta(days=days) for begin, days in spans)
    return climate(site, today=today, first=first, days=(last - first).days)


def _plan_or_fault(
    request: SowingRequest, facts: SiteFacts, weather: Ensemble, record: Any, today: date
) -> Plan:
    """A sowing that cannot be planned keeps its fault as a warning, so one bad row never stops the rest."""
    try:
        return plan(request, facts, weather, record, today)
    except PlanFault as fault:
        warning = Reason(rule="plan.fault", values={"fault": str(fault)}, source="")
        return Plan(request.key, request.crop.key, None, None, (), (warning,))


@transaction.atomic
def _write(plans: list[tuple[Sowing, Plan]], *, now: datetime) -> int:
    sowings = [sowing.pk for sowing, _ in plans]
    present = {job.key: job for job in Job.objects.select_for_update().filter(sowing__in=sowings)}
    made, changed = [], []
    for sowing, answer in plans:
        for planned in answer.jobs:
            row = present.pop(planned.key, None)
            if row is None:
                made.append(_fill(Job(sowing=sowing, key=planned.key), planned, now))
            elif row.state == Job.State.OPEN and _differs(row, planned):
                changed.append(_fill(row, planned, now))
    for row in present.values():  # what the plan asks for no longer is kept, and shown no longer
        if row.is_asked and row.state == Job.State.OPEN:
            row.is_asked, row.worked_out_at, row.moves = False, now, row.moves + 1
            changed.append(row)
    Job.objects.bulk_create(made)
    Job.objects.bulk_update(changed, [*_COLUMNS, "is_asked", "moves", "worked_out_at"], batch_size=500)
    _write_outlooks(plans, now)
    return len(made) + len(changed)


def _write_outlooks(plans: list[tuple[Sowing, Plan]], now: datetime) -> None:
    rows = []
    for sowing, answer in plans:
        sow, shows = answer.sow, answer.emergence
        rows.append(
            Outlook(
                sowing=sowing,
                sow_from=sow and sow.start,
                sow_best=sow and sow.best,
                sow_by=sow and sow.by,
                shows_from=shows and shows.start,
                shows_best=shows and shows.best,
                shows_by=shows and shows.by,
                warnings=[stored(warning) for warning in answer.warnings],
                worked_out_at=now,
            )
        )
    columns = [field.name for field in Outlook._meta.concrete_fields if field.name not in {"id", "sowing"}]
    Outlook.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["sowing"], update_fields=columns, batch_size=500
    )


_COLUMNS = [
    "kind", "stage", "start_on", "best_on", "by_on", "rule", "values", "source", "cautions", "notes",
]  # fmt: skip
_DATES = ("start_on", "best_on", "by_on")


def stored(reason: Reason) -> dict[str, Any]:
    """A reason as it lies in the database and goes out through the API."""
    return {"rule": reason.rule, "values": dict(reason.values), "source": reason.source}


def _columns(planned: PlannedJob) -> dict[str, Any]:
    return {
        "kind": str(planned.kind),
        "stage": planned.stage,
        "start_on": planned.window.start,
        "best_on": planned.window.best,
        "by_on": planned.window.by,
        "rule": planned.reason.rule,
        "values": dict(planned.reason.values),
        "source": planned.reason.source,
        "cautions": list(planned.cautions),
        "notes": [stored(note) for note in planned.notes],
    }


def _differs(row: Job, planned: PlannedJob) -> bool:
    return not row.is_asked or any(getattr(row, name) != value for name, value in _columns(planned).items())


def _fill(row: Job, planned: PlannedJob, now: datetime) -> Job:
    fresh = _columns(planned)
    if row.pk is not None and any(getattr(row, name) != fresh[name] for name in _DATES):
        row.moves += 1
    for name, value in fresh.items():
        setattr(row, name, value)
    row.is_asked, row.worked_out_at = True, now
    return row
