"""`manage.py begin`: set a society up, and print the first committee member's one-time link."""

from argparse import ArgumentParser
from calendar import month_name
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from schedules.founding import society_begin
from schedules.management import arguments
from society import clock

OPTIONS = {
    "name": "--society",
    "zone": "--zone",
    "email": "--email",
    "latitude": "--lat",
    "longitude": "--lon",
}


class Command(BaseCommand):
    help = "Set up this server's society with its first site and its first committee member."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--society", required=True, metavar="NAME")
        parser.add_argument("--zone", required=True, help="time zone, for example Europe/London")
        parser.add_argument("--site", required=True, metavar="NAME", help="the first site's name")
        parser.add_argument("--lat", required=True, help="degrees, south negative")
        parser.add_argument("--lon", required=True, help="degrees, west negative")
        parser.add_argument("--member", required=True, metavar="NAME", help="who comes in first")
        parser.add_argument("--email", required=True, help="that member's address")
        parser.add_argument("--office", default="Secretary", help="their office (default Secretary)")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            founded = society_begin(
                name=options["society"],
                zone=_read("--zone", arguments.zone, options["zone"]).key,
                site_name=options["site"],
                latitude=_read("--lat", arguments.degrees(90), options["lat"]),
                longitude=_read("--lon", arguments.degrees(180), options["lon"]),
                first_name=options["member"],
                first_email=options["email"],
                office=options["office"],
                now=clock.now(),
            )
        except ValidationError as fault:
            raise CommandError(_said(fault)) from fault
        site = founded.site
        self.stdout.write(
            f"{founded.society.name} is set up with the site {site.name} ({site.slug}); its growing year "
            f"begins on {site.season_day} {month_name[site.season_month]}.\n"
            f"{options['member']} comes in here, once, within 14 days:\n{founded.link}\n"
            f"Then give the site its weather: manage.py weather_import FILE --site {site.slug}"
        )


def _read(option: str, reader: Any, text: str) -> Any:
    try:
        return reader(text)
    except arguments.ArgumentFault as fault:
        raise CommandError(f"{option}: {fault}.") from fault


def _said(fault: ValidationError) -> str:
    lines = [
        f"{OPTIONS.get(field, field)}: {sentence}"
        for field, sentences in fault.message_dict.items()
        for sentence in sentences
    ]
    return "\n".join(lines)
