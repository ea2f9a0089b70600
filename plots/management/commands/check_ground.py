"""`manage.py check_ground`: is the ground of what is planned and standing rested enough?"""

import json
from argparse import ArgumentParser
from collections import Counter
from functools import partial
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from plots.ground_selectors import GroundRecordFault, seasons_on_record
from plots.ground_services import Finding, ground_check
from plots.models import Plot, Site
from plots.natural_sorting import Naturally
from plots.rotation import Level, Overlap, Verdict, explain
from plots.selectors import season_name
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
                (site, finding)
                for site in sites
                for finding in ground_check(site=site, now=now, plot=plot, season=season)
            ]
        except GroundRecordFault as fault:
            raise CommandError(f"{fault}. No verdict of that site was changed.") from fault
        if options["json"]:
            rows = [_as_json(site, finding) for site, finding in found]
            self.stdout.write(json.dumps(rows, indent=2, ensure_ascii=False))
        else:
            self.stdout.write(_as_text(found, several_sites=len(sites) > 1))


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


def _text(site: Site, finding: Finding) -> str:
    verdict = finding.verdict
    return explain(verdict.rule, verdict.values, season_name=partial(season_name, site))


def _as_text(found: list[tuple[Site, Finding]], *, several_sites: bool) -> str:
    if not found:
        return "Nothing is planned or stands there from this season on, so there is no ground to judge."
    lines = [_paragraph(site, finding, several_sites=several_sites) for site, finding in found]
    counts = Counter(finding.verdict.level for _, finding in found)
    tally = ", ".join(f"{counts[level]} {level.value}" for level in reversed(Level) if counts[level])
    sowings = "1 sowing" if len(found) == 1 else f"{len(found)} sowings"
    return "\n".join([*lines, f"{sowings} judged: {tally}."])


def _paragraph(site: Site, finding: Finding, *, several_sites: bool) -> str:
    sowing, verdict = finding.sowing, finding.verdict
    place = [
        f"{site.name}, plot {sowing.patch.plot.number}"
        if several_sites
        else f"Plot {sowing.patch.plot.number}"
    ]
    if sowing.patch.bed:
        place.append(sowing.patch.bed.name)
    head = f"{', '.join([*place, sowing.crop_name, season_name(site, sowing.season)])}: {verdict.level.value}"
    named = partial(season_name, site)
    said = [f"  {_text(site, finding)}\n  Source: {verdict.source}"]
    for other in verdict.also:
        words = explain(other.rule, other.values, season_name=named)
        said.append(f"  Also, {other.level.value}: {words}\n  Source: {other.source}")
    return "\n".join([head, *said])


def _as_json(site: Site, finding: Finding) -> dict[str, Any]:
    sowing, verdict = finding.sowing, finding.verdict
    return {
        "site": site.slug,
        "plot": sowing.patch.plot.number,
        "bed": sowing.patch.bed.name if sowing.patch.bed else None,
        "sowing": str(sowing.key),
        "crop": sowing.crop,
        "crop_name": sowing.crop_name,
        "season": sowing.season,
        "level": verdict.level.value,
        "area_m2": round(verdict.area_m2, 4),
        "share": round(verdict.share, 4),
        "free_from": verdict.free_from_season,
        "overlaps": [_overlap(each) for each in verdict.overlaps],
        "rule": verdict.rule,
        "source": verdict.source,
        "text": _text(site, finding),
        "also": [_also(site, each) for each in verdict.also],
    }


def _also(site: Site, verdict: Verdict) -> dict[str, Any]:
    """Another rule that has something against the sowing."""
    return {
        "level": verdict.level.value,
        "area_m2": round(verdict.area_m2, 4),
        "share": round(verdict.share, 4),
        "free_from": verdict.free_from_season,
        "overlaps": [_overlap(each) for each in verdict.overlaps],
        "rule": verdict.rule,
        "source": verdict.source,
        "text": explain(verdict.rule, verdict.values, season_name=partial(season_name, site)),
    }


def _overlap(overlap: Overlap) -> dict[str, Any]:
    return {
        "sowing": overlap.key,
        "crop": overlap.crop_key,
        "crop_name": overlap.crop_name,
        "first_season": overlap.first_season,
        "last_season": overlap.last_season,
        "seasons_between": overlap.seasons_between,
        "area_m2": round(overlap.area_m2, 4),
        "share": round(overlap.share, 4),
        "coarse": overlap.coarse,
    }
