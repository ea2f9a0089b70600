"""Reading what the planner needs of the ground: open sowings, and what was recorded of their jobs."""

from collections import defaultdict
from collections.abc import Sequence

from django.db.models import Q
from shapely import STRtree

from plots.crops import crop as crop_of
from plots.models import Site, Sowing
from plots.outlines import polygon
from schedules.models import Job
from schedules.planner import Outcome, Record, State

# Shared edges of neighbouring beds are no shared ground.
SAME_GROUND_M2 = 0.05


def sowings_to_plan(site: Site, *, season: int | None = None, only: Sowing | None = None) -> list[Sowing]:
    """Sowings of a site that still ask for work: planned, in the ground, or lifted and not yet put away."""
    rows = Sowing.objects.filter(patch__site=site).select_related("patch", "patch__bed", "patch__site")
    if only is not None:
        return list(rows.filter(pk=only.pk))
    planned = Q(state=Sowing.State.PLANNED)
    if season is not None:
        planned &= Q(season__gte=season)
    unfinished = Q(state=Sowing.State.LIFTED, jobs__state=Job.State.OPEN, jobs__is_asked=True)
    return list(rows.filter(planned | Q(state=Sowing.State.SOWN) | unfinished).distinct().order_by("pk"))


def records_of(sowings: Sequence[Sowing]) -> dict[int, Record]:
    """What was recorded of each sowing's jobs, by sowing; the sowing's own dates count as recorded."""
    records: dict[int, dict[str, Outcome]] = defaultdict(dict)
    for sowing in sowings:
        records[sowing.pk] = {}
        if sowing.sown_on:
            records[sowing.pk][f"{sowing.key}/sow"] = Outcome(State.DONE, sowing.sown_on)
        if sowing.ended_on and sowing.state == Sowing.State.LIFTED:
            records[sowing.pk][f"{sowing.key}/lift"] = Outcome(State.DONE, sowing.ended_on)
    for job in Job.objects.filter(sowing__in=[sowing.pk for sowing in sowings]):
        if job.state == Job.State.DONE:
            records[job.sowing_id][job.key] = Outcome(State.DONE, job.done_on)
        elif job.state == Job.State.NOT_NEEDED:
            records[job.sowing_id][job.key] = Outcome(State.NOT_NEEDED)
        elif job.put_off_until:
            records[job.sowing_id][job.key] = Outcome(State.PUT_OFF, job.put_off_until)
    return dict(records)


def family_last_season(sowings: Sequence[Sowing]) -> set[int]:
    """The sowings whose ground carried their own family the season before: flies may hatch in it."""
    if not sowings:
        return set()
    earlier = list(
        Sowing.objects.filter(
            patch__site=sowings[0].patch.site,
            last_season__in={sowing.season - 1 for sowing in sowings},
        )
        .exclude(state=Sowing.State.PLANNED)
        .select_related("patch")
    )
    if not earlier:
        return set()
    shapes = [polygon(row.patch.outline) for row in earlier]
    tree = STRtree(shapes)
    found = set()
    for sowing in sowings:
        shape, family = polygon(sowing.patch.outline), crop_of(sowing.crop).family
        for index in tree.query(shape, predicate="intersects"):
            before = earlier[index]
            related = before.last_season == sowing.season - 1 and crop_of(before.crop).family == family
            if related and shape.intersection(shapes[index]).area > SAME_GROUND_M2:
                found.add(sowing.pk)
    return found
