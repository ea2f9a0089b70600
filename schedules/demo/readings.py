"""What the invented members read off their soil thermometers, and a figure that the station got wrong.

A thermometer is told by how far it lies from the estimate of its day, so that it fits any day shown.
"""

from collections.abc import Mapping
from datetime import date, timedelta

from plots.models import Site
from schedules.demo.layout import Layout
from schedules.learning_selectors import SiteHistory
from schedules.models import Reading, SetAside, WeatherDay
from society import clock
from society.models import Member
from society.zones import zone

DEPTH_MM = 100


def readings_load(layout: Layout, site: Site, members: Mapping[str, Member], *, today: date) -> None:
    """Write the readings and the figure set aside; the weather of those days must be laid out."""
    for row in layout.readings:
        day = today - timedelta(days=row.whole("days_ago"))
        estimate_c = SiteHistory(site, day).soil_estimate_c()
        if estimate_c is None:
            raise row.fault("days_ago", "there is no weather before that day; choose a later one")
        hour = row.whole("hour")
        Reading.objects.create(
            site=site,
            member=members[row.text("member")],
            day=day,
            quantity=Reading.Quantity.SOIL,
            value=round(estimate_c + row.number("soil_off_c"), 1),
            depth_mm=DEPTH_MM,
            hour=hour,
            made_at=clock.instant_of(day, hour, zone(site.zone)),
        )
    for row in layout.set_aside:
        day, quantity = today - timedelta(days=row.whole("days_ago")), row.text("quantity")
        WeatherDay.objects.filter(site=site, day=day).update(**{quantity: None})
        SetAside.objects.create(
            site=site,
            day=day,
            quantity=quantity,
            value=row.number("value"),
            rule=row.text("rule"),
            values={"limit": row.number("limit")},
            made_at=clock.instant_of(day + timedelta(days=1), 6, zone(site.zone)),
        )
