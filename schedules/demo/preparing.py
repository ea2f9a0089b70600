"""Everything the demo does before it serves. Each step may be repeated; the second run finds it done."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from plots.ground_services import ground_check
from plots.models import Site
from schedules import deliveries, tasks
from schedules.demo.folders import LIVE, DataFolder
from schedules.demo.layout import Layout, read_layout
from schedules.demo.lives import seasons_live
from schedules.demo.loading import society_load
from schedules.demo.people import letters_today
from schedules.demo.progress import Progress
from schedules.demo.summary import Summary, demo_summary
from schedules.demo.weather import weather_lay_out
from schedules.models import WeatherDay
from schedules.plan_services import site_replan
from society import clock
from society.zones import zone


@dataclass(frozen=True, slots=True)
class Prepared:
    """What stands ready."""

    today: date
    summary: Summary


def demo_prepare(*, day: date | None, fresh: bool, fixtures: Path, progress: Progress) -> Prepared:
    """Put the wanted society in its place, load it where there is none, and bring it up to its day.

    The caller holds the data folder's lock, and settings show the wanted day.
    """
    progress.step("Reading the invented society", until=0.05)
    layout = read_layout(fixtures)
    _put_in_place(wanted=day.isoformat() if day else LIVE, fresh=fresh)
    progress.step("Making the database ready", until=0.25)
    _migrate()
    site = Site.objects.order_by("pk").first()
    if site is None:
        site = _load(layout, day=day, progress=progress)
    today = clock.today(zone(site.zone))
    progress.step("Working out every sowing", until=0.9)
    _bring_up_to(layout, site, today=today)
    progress.step("Writing this week's letters", until=1.0)
    letters_today(today=today)
    # Not what else falls due at this hour of the day: a demo comes to the same letters at any hour.
    deliveries.weekly_plan(now=clock.now())
    tasks.deliveries_send()
    progress.end()
    return Prepared(today, demo_summary(site, today=today))


def _put_in_place(*, wanted: str, fresh: bool) -> None:
    folder = DataFolder(Path(settings.DATA_FOLDER))
    connections.close_all()
    present = folder.label()
    if present is not None and present != wanted:
        folder.set_aside(present)
        present = None
    if fresh:
        folder.drop_kept(wanted)
        if present == wanted:
            folder.drop()
    elif present is None:
        folder.bring_back(wanted)


def _migrate() -> None:
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", verbosity=0, interactive=False)


@transaction.atomic
def _load(layout: Layout, *, day: date | None, progress: Progress) -> Site:
    """All of the society and its seasons, or nothing."""
    progress.step("Laying out plots and six years of ground", until=0.35)
    now = clock.now()
    today = day or clock.today(zone(layout.about["site"]["zone"]))
    laid = society_load(layout, today=today, is_dated=day is not None, now=now)
    ground_check(site=laid.site, now=now)
    progress.step("Living the season up to the day", until=0.8)
    seasons_live(layout, laid.site, laid.sowings, today=today, now=now, on_step=progress.part)
    return laid.site


def _bring_up_to(layout: Layout, site: Site, *, today: date) -> None:
    oldest = WeatherDay.objects.filter(site=site).earliest("day").day
    weather_lay_out(layout, site, first=oldest, today=today)
    now = clock.now()
    site_replan(site=site, now=now)
    ground_check(site=site, now=now)
