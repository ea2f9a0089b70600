"""`manage.py check_ground`: is the ground of what is planned and standing rested enough?"""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from plots.ground_report import as_data, as_text, report_of
from plots.ground_selectors import GroundRecordFault, seasons_on_record
from plots.ground_services import ground_check
from plots.models import Plot, Site
from plots.natural_sorting import Naturally
from society import clock


class Command(BaseCommand):
    help = "Judge every planned and standing sowing against the ground record, and keep the verdicts."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--plot", metavar="N", help="only the plot with this number")
        parser.add_argument("--site", metavar="SLUG", help="only this site, where there are several")
        parser.add_argument("--season", metavar="Y", help="one season only, by the year in which it begins")
        parser.add_argument("--json", action="store_true", help="a JSON list on standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        sites = _sites(options["site"])
        plot = _plot(options["plot"], sites)
        sites = [plot.site] if plot else sites
        season = _season(options["season"], sites, plot)
        now = clock.now()
        try:
            found = [
                reported
                for site in sites
                for reported in report_of(
                    site, ground_check(site=site, now=now, plot=plot, season=season), now=now
                )
            ]
        except GroundRecordFault as fault:
            raise CommandError(f"{fault}. No verdict of that site was changed.") from fault
        if options["json"]:
            self.stdout.write(json.dumps([as_data(each) for each in found], indent=2, ensure_ascii=False))
        else:
            self.stdout.write(as_text(found, several_sites=len(sites) > 1, in_full=plot is not None))


def _sites(slug: str | None) -> list[Site]:
    sites = list(Site.objects.order_by("name"))
    if not sites:
        raise CommandError("There is no site yet; set up the society first.")
    if slug is None:
        return sites
    found = [site for site in sites if site.slug == slug]
    if not found:
        listed = ", ".join(site.slug for site in sites)
        raise CommandError(f"--site: no site is called {slug!r}; use one of: {listed}")
    return found


def _plot(number: str | None, sites: list[Site]) -> Plot | None:
    if number is None:
        return None
    plots = list(
        Plot.objects.filter(site__in=sites).select_related("site").order_by("site", Naturally("number"))
    )
    found = [plot for plot in plots if plot.number == number.strip()]
    if len(found) == 1:
        return found[0]
    if found:
        listed = ", ".join(plot.site.slug for plot in found)
        raise CommandError(
            f"--plot: there is a plot {number} on several sites; add --site with one of: {listed}"
        )
    listed = ", ".join(plot.number for plot in plots) or "there are none yet"
    raise CommandError(f"--plot: no plot has the number {number!r}; the plots are: {listed}")


def _season(text: str | None, sites: list[Site], plot: Plot | None) -> int | None:
    if text is None:
        return None
    if not (text.isascii() and text.isdigit() and len(text) == 4):
        raise CommandError(
            f"--season: {text!r} is not a year; give the year in which the season begins, like 2027"
        )
    known = sorted({season for site in sites for season in seasons_on_record(site, plot=plot)})
    if int(text) not in known:
        where = f"on plot {plot.number}" if plot else "on record"
        listed = ", ".join(map(str, known)) or "none yet"
        raise CommandError(f"--season: nothing is {where} for {text}; seasons with sowings: {listed}")
    return int(text)
