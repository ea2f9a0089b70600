"""What a noticeboard screen may show of a site: plot numbers and crops, never people."""

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Count, Q, QuerySet

from plots.models import Bed, BedKind, Plot, Site
from plots.natural_sorting import Naturally
from plots.selectors import season_begins, season_name, season_of
from plots.verdict_selectors import not_overruled
from schedules.models import Job, Notice
from schedules.selectors import DueJob, as_read

FORM = "noticeboard 2"
"""Changes with the shape or the wording of the answer, so that no screen keeps an old one."""
DAYS = 7
MOST_JOBS = 500

# Growers name beds as they like, also after people. Only names that are plainly none go out.
PLAIN_BED_NAME = re.compile(
    r"(?:(?:bed|raised bed|container|tub|patch|strip|border)\s+)?(?:no\.?\s*)?(?:\d{1,3}[a-z]?|[a-z])",
    re.IGNORECASE,
)


def public_bed_name(bed: Bed | None) -> str:
    """A bed's name if it is a number or a letter, else what kind of bed it is."""
    if bed is None:
        return str(BedKind.OPEN.label)
    name = bed.name.strip()
    return name if PLAIN_BED_NAME.fullmatch(name) else str(bed.get_kind_display())


def jobs_of_week(site: Site, *, today: date) -> QuerySet[Job]:
    """The open jobs of the coming seven days on every plot of the site, most pressing first."""
    return (
        Job.objects.filter(
            sowing__patch__site=site,
            state=Job.State.OPEN,
            is_asked=True,
            start_on__lt=today + timedelta(days=DAYS),
        )
        .select_related("sowing__patch__plot", "sowing__patch__bed", "explanation")
        .order_by("by_on", "best_on", "key")
    )


def notices_of(site: Site, *, today: date) -> QuerySet[Notice]:
    return Notice.objects.filter(site=site, is_public=True, since__lte=today, until__gte=today)


def ground_of(site: Site, *, today: date) -> list[Mapping[str, Any]]:
    """Plots with standing warnings of too short a rest, and how many of each kind."""
    stands = not_overruled("patches__sowings__verdict__") & Q(
        patches__sowings__last_season__gte=season_of(site, today)
    )
    return list(
        Plot.objects.filter(site=site)
        .annotate(
            short=Count("pk", filter=stands & Q(patches__sowings__verdict__level="short")),
            broken=Count("pk", filter=stands & Q(patches__sowings__verdict__level="broken")),
        )
        .filter(Q(short__gt=0) | Q(broken__gt=0))
        .order_by(Naturally("number"))
        .values("number", "short", "broken")
    )


def stamp(site: Site, *, today: date, language: str) -> str:
    """A strong version of the answer from the rows behind it, without reading or wording any of it.

    Jobs count their moves and keep when they were worked out; what has no such mark goes in whole.
    """
    parts: list[Any] = [FORM, language, today, site.pk, site.name, site.zone, season_of(site, today)]
    parts += jobs_of_week(site, today=today).values_list(
        "pk", "moves", "worked_out_at", "sowing__patch__plot__number",
        "sowing__patch__bed__name", "sowing__patch__bed__kind", "sowing__crop",
    )[: MOST_JOBS + 1]  # fmt: skip
    parts += ground_of(site, today=today)
    parts += notices_of(site, today=today).values_list("pk", "text", "until", "is_urgent")
    return hashlib.sha256(json.dumps(parts, default=str).encode()).hexdigest()[:32]


def noticeboard(site: Site, *, today: date) -> dict[str, Any]:
    """The whole answer. ``as_of`` is when the plans behind it were last worked out."""
    jobs = list(jobs_of_week(site, today=today)[: MOST_JOBS + 1])
    shown = [as_read(job, today=today, units="metric") for job in jobs[:MOST_JOBS]]
    return {
        "site": {"name": site.name, "zone": site.zone},
        "today": today,
        "season": _season(site, today),
        "as_of": _latest(jobs),
        "week": [_line(due) for due in shown],
        "week_is_cut": len(jobs) > MOST_JOBS,
        "ground": [
            {"plot": row["number"], "short": row["short"], "broken": row["broken"]}
            for row in ground_of(site, today=today)
        ],
        "notices": [
            {"text": notice.text, "until": notice.until, "is_urgent": notice.is_urgent}
            for notice in notices_of(site, today=today)
        ],
    }


def _season(site: Site, today: date) -> dict[str, Any]:
    """Which growing year it is, and which week of it."""
    year = season_of(site, today)
    year = season_of(site, today)
    return {"name": season_name(site, year), "week": (today - season_begins(site, year)).days // 7 + 1}


def _line(due: DueJob) -> dict[str, Any]:
    job = due.job
    return {
        "kind": job.kind,
        "title": due.title,
        "crop": due.crop_name,
        "plot": due.plot_number,
        "bed": public_bed_name(job.sowing.patch.bed),
        "from": job.start_on,
        "best": job.best_on,
        "by": job.by_on,
        "cautions": due.caution_texts,
    }


def _latest(jobs: Iterable[Job]) -> datetime | None:
    return max((job.worked_out_at for job in jobs), default=None)
