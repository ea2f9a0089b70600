"""Writing the laid-out society into an empty database, its years counted from the season shown."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from plots.models import Site, Sowing
from plots.selectors import season_begins, season_of
from schedules.demo.ground import beds_load, plots_load, standing_load
from schedules.demo.ground_notes import ground_notes_load
from schedules.demo.layout import Layout
from schedules.demo.people import people_load, waiting_load
from schedules.demo.readings import readings_load
from schedules.demo.standing import Standing
from schedules.demo.weather import weather_lay_out
from schedules.models import Event, Notice
from schedules.pairing_services import screen_pair_for_demo
from schedules.weather_services import normals_import
from society import clock
from society.models import Society
from society.zones import zone

NOTICE_DAYS = 60


@dataclass(frozen=True, slots=True)
class Laid:
    """What was written: the site, and each sowing to be lived beside its place in the rotation."""

    site: Site
    sowings: list[tuple[Sowing, Standing]]


def society_load(layout: Layout, *, today: date, is_dated: bool, now: datetime) -> Laid:
    """Write everything but the season's life; the caller owns the transaction."""
    society = Society.objects.create(
        **layout.about["society"], is_invented=True, shown_on=today if is_dated else None
    )
    site = Site.objects.create(society=society, **layout.about["site"])
    season = season_of(site, today)
    normals_import(site=site, file=layout.normals, now=now)
    oldest = season_begins(site, season - layout.about["weather_years"])
    weather_lay_out(layout, site, first=oldest, today=today)
    members = people_load(layout, society, today=today, now=now)
    readings_load(layout, site, members, today=today)
    waiting_load(layout, site, members, today=today)
    plots = plots_load(layout, site, members, today=today, season=season)
    beds = beds_load(layout, site, plots, season=season)
    sowings = standing_load(layout, beds, season=season)
    ground_notes_load(layout, site, plots, beds, members, season=season)
    _board(layout, site, today=today, now=now)
    return Laid(site, sowings)


def _board(layout: Layout, site: Site, *, today: date, now: datetime) -> None:
    """What hangs on the board at the gate, and the board itself."""
    Notice.objects.bulk_create(
        Notice(site=site, since=today, until=today + timedelta(days=NOTICE_DAYS), **words)
        for words in layout.about["notices"]
    )
    event = layout.about["event"]
    starts_at = clock.instant_of(today + timedelta(days=event["in_days"]), event["hour"], zone(site.zone))
    Event.objects.create(
        site=site,
        title=event["title"],
        starts_at=starts_at,
        ends_at=starts_at + timedelta(hours=event["lasts_hours"]),
        is_public=event["is_public"],
    )
    screen_pair_for_demo(site=site, name=layout.about["screen"]["name"], now=now)
