"""Working plans out: every open sowing is put to the planner, and its answer is written down."""

import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from plots.crops import crop as crop_of
from plots.ground_selectors import GroundRecordFault
from plots.ground_services import ground_check
from plots.models import BedKind, Site, Sowing
from plots.selectors import season_begins, season_of
from schedules.agronomy.climate import ClimateFault, Ensemble
from schedules.agronomy.site_learning import GrowthLearning
from schedules.learning_selectors import SiteHistory
from schedules.plan_selectors import family_last_season, records_of, sowings_to_plan
from schedules.plan_writing import plans_write
from schedules.planner import Plan, PlanFault, Reason, SiteFacts, SowingRequest, plan, span
from schedules.site_facts import site_facts
from schedules.weather_selectors import climate
from society import clock
from society.zones import zone

logger = logging.getLogger(__name__)


def all_replan(*, now: datetime) -> int:
    """Work out every site's sowings again, and judge their ground; returns how many jobs changed.

    A site whose record cannot be read is logged and left as it was; the others go on.
    """
    changed = 0
    for site in Site.objects.order_by("pk"):
        try:
            changed += site_replan(site=site, now=now)
            ground_check(site=site, now=now)
        except GroundRecordFault:
            logger.exception("the ground record of site %s cannot be judged", site.pk)
    return changed


def site_replan(*, site: Site, now: datetime) -> int:
    """Work out every open sowing of a site; returns how many jobs changed."""
    with site_locked(site):
        season = season_of(site, local_day(site, now))
        standing = Sowing.objects.filter(patch__site=site, state=Sowing.State.SOWN, last_season__lt=season)
        standing.update(last_season=season)  # what still stands counts for this season too
        return _replan(site, sowings_to_plan(site, season=season), now=now)


def sowing_replan(*, sowing: Sowing, now: datetime) -> int:
    """Work out one sowing; returns how many of its jobs changed."""
    site = sowing.patch.site
    with site_locked(site):
        return _replan(site, sowings_to_plan(site, only=sowing), now=now)


@contextmanager
def site_locked(site: Site) -> Iterator[None]:
    """Hold a site's plans alone, so that planning twice at once writes once. Always taken before any job."""
    with transaction.atomic():
        Site.objects.select_for_update().get(pk=site.pk)
        yield


def local_day(site: Site, now: datetime) -> date:
    """The site's own date at an instant."""
    return clock.local_date(now, zone(site.zone))


def _replan(site: Site, sowings: Sequence[Sowing], *, now: datetime) -> int:
    if not sowings:
        return 0
    today = local_day(site, now)
    records = records_of(sowings)
    troubled = family_last_season(sowings)
    history = SiteHistory(site, today)
    learnt = history.growth({sowing.crop for sowing in sowings})
    requests = [
        request_of(sowing, tired=sowing.pk in troubled, growth=learnt.get(sowing.crop)) for sowing in sowings
    ]
    facts = site_facts(site, history=history)
    spans = [
        span(request, facts, records[sowing.pk], today)
        for sowing, request in zip(sowings, requests, strict=True)
    ]
    try:
        weather = _weather(site, spans, today)
    except ClimateFault:
        return 0  # a site without any weather has no dates yet; its pages say so
    plans = []
    for sowing, request in zip(sowings, requests, strict=True):
        answer = _plan_or_fault(request, facts, weather, records[sowing.pk], today)
        plans.append((sowing, answer))
    return plans_write(plans, now=now)


def _asked_from(sowing: Sowing) -> date:
    """From when a sowing without a day of its own may be made. Never today's date: it would slide nightly."""
    site = sowing.patch.site
    return max(season_begins(site, sowing.season), local_day(site, sowing.made_at))


def request_of(sowing: Sowing, *, tired: bool, growth: GrowthLearning | None = None) -> SowingRequest:
    """The question that a stored sowing puts to the planner, with what the site's liftings of it taught."""
    learnt = growth or GrowthLearning()
    bed = sowing.patch.bed
    container = bed is not None and bed.kind == BedKind.CONTAINER and bed.height_m > 0
    return SowingRequest(
        key=str(sowing.key),
        crop=crop_of(sowing.crop),
        sow_on=sowing.sown_on or sowing.sow_on,
        not_before=sowing.not_before or _asked_from(sowing),
        cover=sowing.cover,  # type: ignore[arg-type]  # the request turns the stored word into its kind
        container_height_cm=round(bed.height_m * 100, 1) if container and bed else None,
        same_family_last_year=tired,
        growth_factor=round(learnt.factor, 3),
        growth_liftings=learnt.liftings,
    )


def _weather(site: Site, spans: list[tuple[date, int]], today: date) -> Ensemble:
    """One ensemble wide enough for every sowing, so that the site's weather is laid out once."""
    first = min(begin for begin, _ in spans)
    end = max(begin + timedelta(days=days) for begin, days in spans)
    return climate(site, today=today, first=first, days=(end - first).days)


def _plan_or_fault(
    request: SowingRequest, facts: SiteFacts, weather: Ensemble, record: Any, today: date
) -> Plan:
    """A sowing that cannot be planned keeps its fault as a warning, so one bad row never stops the rest."""
    try:
        return plan(request, facts, weather, record, today)
    except PlanFault as fault:
        warning = Reason(rule="plan_fault", values={"fault": str(fault)}, source="")
        return Plan(request.key, request.crop.key, None, None, (), (warning,))
