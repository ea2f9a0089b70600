"""Writing the laid-out society into an empty database, its years counted from the season shown."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from plots.models import Site, Sowing
from plots.selectors import season_begins, season_of
from schedules.demo.ground import past_load, plans_load, plots_load
from schedules.demo.layout import Layout, PlannedCrop
from schedules.demo.people import people_load
from schedules.demo.weather import weather_lay_out
from schedules.models import Notice
from schedules.screens import screen_make
from schedules.weather_services import normals_import
from society.models import Society

NOTICE_DAYS = 60


@dataclass(frozen=True, slots=True)
class Laid:
    """What was written: the site, each sowing to be lived beside its row, and the screen's only token."""

    site: Site
    sowings: list[tuple[Sowing, PlannedCrop]]
    screen_token: str


def society_load(layout: Layout, *, today: date, is_dated: bool, now: datetime) -> Laid:
    """Write everything but the season's life; the caller owns the transaction."""
    society = Society.objects.create(
        **layout.about["society"], is_invented=True, shown_on=today if is_dated else None
    )
    site = Site.objects.create(society=society, **layout.about["site"])
    season = season_of(site, today)
    record_since = season - layout.about["record_seasons"]
    normals_import(site=site, file=layout.normals, now=now)
    weather_lay_out(layout, site, first=season_begins(site, season - 1), today=today)
    members = people_load(layout, society, today=today)
    beds = plots_load(layout, site, members, today=today, record_since=record_since)
    past_load(layout.record, beds, season=season)
    sowings = plans_load(layout.plans, beds, season=season)
    Notice.objects.create(
        site=site, since=today, until=today + timedelta(days=NOTICE_DAYS), **layout.about["notice"]
    )
    _, token = screen_make(site=site, name=layout.about["screen"]["name"], now=now)
    return Laid(site, sowings, token)
