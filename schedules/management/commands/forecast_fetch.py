"""`manage.py forecast_fetch [--site S]`: ask the forecast service now, as far as its terms let us."""

import json
from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from plots.models import Site
from schedules.forecast.service import ATTRIBUTION, CREDIT
from schedules.forecast_selectors import Why, why_off
from schedules.forecast_services import forecast_fetch
from schedules.models import ForecastHour, ForecastState, WeatherDay
from society import clock
from society.zones import zone

OFF = {
    Why.OFF: "The forecast is switched off. Set COMMONROW_FORECAST_CONTACT to an e-mail or web address at "
    "which the service can reach you; README says what else to know.",
    Why.PRETENDED: "COMMONROW_TODAY is set, and a forecast says nothing of a pretended day. Unset it first.",
}


class Command(BaseCommand):
    help = (
        "Ask for a site's forecast now, unless the last answer still holds. Without --site: for every site."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--site", help="the site's slug or name")
        parser.add_argument("--json", action="store_true", help="report as JSON on standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        off = why_off()
        if off:
            raise CommandError(OFF[off])
        reports = [_fetch(site) for site in _sites(options["site"])]
        if options["json"]:
            self.stdout.write(json.dumps(reports, ensure_ascii=False, indent=2))
        else:
            self.stdout.write("\n".join(map(_line, reports)))
        if any(report["state"] != ForecastState.State.GOOD for report in reports):
            raise CommandError("Not every forecast is as it should be; see above.")


def _fetch(site: Site) -> dict[str, Any]:
    row, was_asked = forecast_fetch(site=site, now=clock.now())
    return {
        "site": site.slug,
        "asked": was_asked,
        "state": row.state,
        "problem": row.problem,
        "fetched_at": _local(row.fetched_at, site),
        "expires_at": _local(row.expires_at, site),
        "next_try_at": _local(row.next_try_at, site),
        "hours": ForecastHour.objects.filter(site=site).count(),
        "days": WeatherDay.objects.filter(site=site, kind=WeatherDay.Kind.FORECAST).count(),
    }


def _local(instant: datetime | None, site: Site) -> str | None:
    return instant.astimezone(zone(site.zone)).isoformat(timespec="seconds") if instant else None


def _line(report: dict[str, Any]) -> str:
    held = f"{report['hours']} hours and {report['days']} whole days are held"
    if report["state"] == ForecastState.State.GOOD:
        note = f" Note: {report['problem']}." if report["problem"] else ""
        if report["asked"]:
            return f"{report['site']}: answered; {held}. {ATTRIBUTION} ({CREDIT.licence}).{note}"
        return (
            f"{report['site']}: not asked, the last answer holds until {report['expires_at']}; {held}.{note}"
        )
    again = (
        f"asked again at {report['next_try_at']}" if report["next_try_at"] else "not asked again by itself"
    )
    return f"{report['site']}: {report['problem']}; {held}; {again}."


def _sites(wanted: str | None) -> list[Site]:
    sites = list(Site.objects.order_by("name"))
    if not sites:
        raise CommandError("There is no site yet; set up the society first.")
    found = [site for site in sites if wanted in {None, site.slug, site.name}]
    if not found:
        listed = ", ".join(f"{site.slug} ({site.name})" for site in sites)
        raise CommandError(f"--site: no site is called {wanted!r}; use one of: {listed}")
    return found
