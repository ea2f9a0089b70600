"""What the planner says of a sowing that is not saved yet. Nothing here writes."""

from collections.abc import Mapping
from datetime import date, datetime

from plots.changes import local_day
from plots.models import Site, Sowing
from plots.sowing_wishes import Surroundings
from schedules.agronomy.climate import ClimateFault
from schedules.learning_selectors import SiteHistory
from schedules.models import Job
from schedules.plan_services import request_of
from schedules.planner import Kind, Plan, PlanFault, plan, span
from schedules.site_facts import site_facts
from schedules.tired_ground import family_last_season
from schedules.weather_selectors import climate


class NoPlan(Exception):
    """Why there are no dates for a sowing, in a sentence for the page."""


def draft_plan(draft: Sowing, *, now: datetime) -> Plan:
    """Plan an unsaved sowing as it would be planned once saved; NoPlan where it cannot be."""
    site = draft.patch.site
    today = local_day(site, now)
    draft.made_at = draft.made_at or now  # a sowing without a day of its own counts from when it was planned
    tired = bool(family_last_season([draft]))
    history = SiteHistory(site, today)
    facts = site_facts(site, history=history)
    try:
        request = request_of(draft, tired=tired, growth=history.growth([draft.crop]).get(draft.crop))
        first, days = span(request, facts, {}, today)
        weather = climate(site, today=today, first=first, days=days)
        return plan(request, facts, weather, {}, today)
    except ClimateFault as fault:
        raise NoPlan(f"the site has no weather yet, so there are no dates: {fault}") from fault
    except PlanFault as fault:
        raise NoPlan(str(fault)) from fault


def lifted_by(answer: Plan) -> date | None:
    """The day by which a plan has its crop out of the ground."""
    return max((job.window.by for job in answer.jobs if job.kind is Kind.LIFT), default=None)


def free_by(site: Site) -> Mapping[int, date]:
    """By sowing, the day by which its present plan has it lifted. One query."""
    lifting = Job.objects.filter(
        sowing__patch__site=site, kind=Kind.LIFT.value, state=Job.State.OPEN, is_asked=True
    )
    return dict(lifting.values_list("sowing_id", "by_on"))


def surroundings_of(draft: Sowing, *, now: datetime) -> Surroundings:
    """What plans say of the ground about an unsaved sowing, so that one crop may follow another."""
    try:
        ends = lifted_by(draft_plan(draft, now=now))
    except NoPlan:
        ends = None
    return Surroundings(free_by=free_by(draft.patch.site), ends=ends)
