"""`manage.py plan_sowing --crop KEY --sow DATE|fit …`: plan one sowing from a weather file."""

import json
from argparse import ArgumentParser
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from schedules.agronomy.climate import ClimateFault, DailyWeather, Ensemble, Normals, ensemble, normals_of
from schedules.management import arguments
from schedules.plan_report import plan_report
from schedules.planner import (
    Cover,
    Plan,
    PlanFault,
    SiteFacts,
    SowingRequest,
    plan,
    plan_payload,
    record_warnings,
    span,
)
from schedules.weather_csv import Fault, daily, normals, read_normals, read_weather
from society import clock

FARTHEST = timedelta(days=731)


class Command(BaseCommand):
    help = "Plan one sowing: its season, its jobs and the reason for each date. Needs no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--crop", required=True, type=arguments.crop, metavar="KEY", help="such as carrot-early"
        )
        parser.add_argument(
            "--sow",
            required=True,
            type=arguments.day_or_fit,
            metavar="DATE|fit",
            help="a day, or when the ground is fit",
        )
        parser.add_argument(
            "--lat", required=True, type=arguments.degrees(90), help="degrees, south negative"
        )
        parser.add_argument(
            "--lon", required=True, type=arguments.degrees(180), help="degrees, west negative"
        )
        parser.add_argument(
            "--zone", required=True, type=arguments.zone, help="time zone, such as Europe/London"
        )
        parser.add_argument("--weather", type=arguments.csv_text, metavar="FILE", help="CSV of observed days")
        parser.add_argument(
            "--normals", type=arguments.csv_text, metavar="FILE", help="CSV of twelve monthly means"
        )
        parser.add_argument("--today", type=arguments.day, metavar="DATE", help="plan as if on this day")
        parser.add_argument("--cover", choices=[str(each) for each in Cover], default=str(Cover.NONE))
        parser.add_argument(
            "--container", type=arguments.height_cm, metavar="HEIGHT_CM", help="height of a container"
        )
        parser.add_argument("--units", choices=["metric", "imperial"], default="metric")
        parser.add_argument("--json", action="store_true", help="answer as JSON on standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        today = options["today"] or clock.today(options["zone"])
        answer = _planned(options, today)
        if options["json"]:
            report = json.dumps(plan_payload(answer, options["units"]), ensure_ascii=False, indent=2)
        else:
            report = plan_report(answer, options["crop"].name, options["units"])
        self.stdout.write(report)


def _planned(options: dict[str, Any], today: date) -> Plan:
    sow_on = options["sow"]
    if sow_on and abs(sow_on - today) > FARTHEST:
        raise CommandError(
            f"--sow: {sow_on} is more than two years from {today}; choose a nearer day, or fit."
        )
    request = SowingRequest(
        key="sowing",
        crop=options["crop"],
        sow_on=sow_on,
        not_before=today,
        cover=Cover(options["cover"]),
        container_height_cm=options["container"],
    )
    site = SiteFacts(options["lat"], options["lon"], str(options["zone"]))
    observed, usual = _observed(options["weather"]), _normals(options["normals"])
    first, days = span(request, site, {}, today)
    try:
        answer = plan(request, site, _climate(observed, usual, today, first, days), {}, today)
    except ClimateFault as fault:
        raise CommandError(f"--weather, --normals: {fault}.") from fault
    except PlanFault as fault:
        raise CommandError(f"{fault}.") from fault
    if observed is None:
        return answer
    last = observed.first + timedelta(days=observed.tmin_c.size - 1)
    return replace(answer, warnings=(*answer.warnings, *record_warnings(observed.first, last, today)))


def _climate(
    observed: DailyWeather | None, usual: Normals | None, today: date, first: date, days: int
) -> Ensemble:
    """Lay out the weather. The days of a record from today on speak of the climate, never of the weather."""
    if usual is None and observed is None:
        raise CommandError(
            "--weather or --normals: give a CSV of observed days, or one of twelve monthly means."
        )
    if usual is None and observed is not None and observed.dates[-1] >= today:
        usual = normals_of(observed)
    return ensemble(observed=observed, normals=usual, today=today, first=first, days=days)


def _observed(text: str | None) -> DailyWeather | None:
    if text is None:
        return None
    file = read_weather(text)
    _refuse("--weather", file.faults)
    if not file.rows:
        raise CommandError("--weather: the file has a header but no days; add one row for each day.")
    return daily(file.rows)


def _normals(text: str | None) -> Normals | None:
    if text is None:
        return None
    file = read_normals(text)
    _refuse("--normals", file.faults)
    return normals(file.rows)


def _refuse(option: str, faults: tuple[Fault, ...]) -> None:
    if faults:
        lines = "\n".join(arguments.fault_line(fault) for fault in faults)
        raise CommandError(f"{option}: the file cannot be used; correct these rows:\n{lines}")
