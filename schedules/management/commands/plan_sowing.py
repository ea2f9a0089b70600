"""`manage.py plan_sowing --crop KEY --sow DATE|fit …`: plan one sowing from a weather file."""

import json
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from plots.tables import fault_line
from schedules.agronomy.climate import ClimateFault, DailyWeather, Ensemble, Normals, ensemble, normals_of
from schedules.management import arguments
from schedules.plan_report import plan_report
from schedules.planner import (
    Cover,
    Plan,
    PlanFault,
    Reason,
    SiteFacts,
    SowingRequest,
    plan,
    plan_payload,
    record_warnings,
    set_aside_warnings,
    span,
    unit_warnings,
)
from schedules.weather_csv import (
    Fault,
    WeatherFile,
    daily,
    judge,
    normals,
    read_normals,
    read_weather,
    wrong_unit_line,
)
from society import clock

FARTHEST = timedelta(days=731)
UNITS = ("metric", "imperial")
READERS: dict[str, Callable[[str], Any]] = {
    "crop": arguments.crop,
    "sow": arguments.day_or_fit,
    "lat": arguments.degrees(90),
    "lon": arguments.degrees(180),
    "zone": arguments.zone,
    "weather": arguments.csv_text,
    "normals": arguments.csv_text,
    "today": arguments.day,
    "cover": arguments.one_of(Cover),
    "container": arguments.height_cm,
    "units": arguments.one_of(UNITS),
}


class Command(BaseCommand):
    help = "Plan one sowing: its season, its jobs and the reason for each date. Needs no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        add = parser.add_argument
        add("--crop", required=True, metavar="KEY", help="such as carrot-early")
        add("--sow", required=True, metavar="DATE|fit", help="a day, or fit: when the ground is")
        add("--lat", required=True, metavar="DEGREES", help="latitude, south negative")
        add("--lon", required=True, metavar="DEGREES", help="longitude, west negative")
        add("--zone", required=True, metavar="ZONE", help="time zone, such as Europe/London")
        add("--weather", metavar="FILE", help="CSV of observed days, or a file of GHCN-Daily")
        add("--unit-is-right", action="store_true", help="take its temperatures as headed, however odd")
        add("--normals", metavar="FILE", help="CSV of twelve monthly means")
        add("--today", metavar="DATE", help="plan as if on this day")
        add("--cover", default="none", metavar="KIND", help="/".join(Cover))
        add("--container", metavar="HEIGHT_CM", help="height of a container; left out for open ground")
        add("--units", default="metric", metavar="UNITS", help="/".join(UNITS))
        add("--json", action="store_true", help="answer as JSON on standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        read = {name: _read(name, reader, options[name]) for name, reader in READERS.items()}
        read["unit_is_right"] = options["unit_is_right"]
        answer = _planned(read, read["today"] or clock.today(read["zone"]))
        if options["json"]:
            report = json.dumps(plan_payload(answer, read["units"]), ensure_ascii=False, indent=2)
        else:
            report = plan_report(answer, read["crop"].name, read["units"])
        self.stdout.write(report)


def _read(name: str, reader: Callable[[str], Any], value: Any) -> Any:
    """Read one option here rather than in the parser, so that call_command meets the same checks."""
    if value is None:
        return None
    try:
        return reader(str(value))
    except arguments.ArgumentFault as fault:
        raise CommandError(f"--{name}: {fault}.") from fault


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
    usual = _normals(options["normals"])
    record = _observed(options["weather"], usual, options)
    observed = record.observed
    first, days = span(request, site, {}, today)
    try:
        answer = plan(request, site, _climate(observed, usual, today, first, days), {}, today)
    except ClimateFault as fault:
        raise CommandError(f"--weather, --normals: {fault}.") from fault
    except PlanFault as fault:
        raise CommandError(f"{fault}.") from fault
    warnings = (*answer.warnings, *record.warnings)
    if observed is not None:
        last = observed.first + timedelta(days=observed.tmin_c.size - 1)
        warnings = (*warnings, *record_warnings(observed.first, last, today))
    return replace(answer, warnings=warnings)


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


@dataclass(frozen=True, slots=True)
class _Observed:
    """What was read of the weather, and what there is to beware of in it."""

    observed: DailyWeather | None = None
    warnings: tuple[Reason, ...] = ()


def _observed(text: str | None, usual: Normals | None, options: dict[str, Any]) -> _Observed:
    if text is None:
        return _Observed()
    file = read_weather(text)
    _refuse("--weather", file.faults)
    if not file.rows:
        raise CommandError("--weather: the file has a header but no days; add one row for each day.")
    judged = judge(file, normals=usual, latitude=options["lat"], unit_is_right=options["unit_is_right"])
    _refuse("--weather", judged.file.faults)
    wrong = judged.wrong_unit
    if wrong is None:
        return _Observed(daily(judged.file.rows), tuple(set_aside_warnings(judged.file.set_aside)))
    if usual is None:
        line = wrong_unit_line(wrong)
        raise CommandError(f"--weather: {line} If the headings are right, add --unit-is-right.")
    return _Observed(_without_temperatures(file), tuple(unit_warnings(wrong, len(file.rows))))


def _without_temperatures(file: WeatherFile) -> DailyWeather:
    return daily([replace(row, tmin_c=None, tmax_c=None) for row in file.rows])


def _normals(text: str | None) -> Normals | None:
    if text is None:
        return None
    file = read_normals(text)
    _refuse("--normals", file.faults)
    return normals(file.rows)


def _refuse(option: str, faults: tuple[Fault, ...]) -> None:
    if faults:
        lines = "\n".join(fault_line(fault) for fault in faults)
        raise CommandError(f"{option}: the file cannot be used; correct these rows:\n{lines}")
