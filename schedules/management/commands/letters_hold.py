"""Keep letters in the house: ``manage.py letters_hold older`` right after a backup was put back."""

from datetime import UTC, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from schedules import deliveries
from society import clock


class Command(BaseCommand):
    help = (
        "Hold letters. older: what fell due before now (or --before), as after putting a backup back, since "
        "it may have gone out already; release: let that go; all: let no letter leave; none: open again."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("what", choices=["older", "release", "all", "none"])
        parser.add_argument("--before", help="an instant in UTC, 2027-04-12T06:00; without it: now")
        parser.add_argument("--why", default="", help="shown to the committee while letters are stopped")

    def handle(self, *args: Any, what: str, before: str | None, why: str, **options: Any) -> None:
        now = clock.now()
        if what == "older":
            held = self._hold(_instant(before) if before else now, now)
            self.stdout.write(f"{_letters(held)} held; `letters_hold release` lets them go.")
        elif what == "release":
            freed = deliveries.letters_release_older(account=None, now=now)
            self.stdout.write(f"{_letters(freed)} due again.")
        elif what == "all":
            deliveries.letters_close(why=why, account=None, now=now)
            self.stdout.write("No letter leaves until `letters_hold none`.")
        else:
            deliveries.letters_open(account=None, now=now)
            self.stdout.write("Letters go out again.")

    def _hold(self, before: datetime, now: datetime) -> int:
        try:
            return deliveries.letters_hold_older(before=before, account=None, now=now)
        except ValidationError as fault:
            raise CommandError(f"--before: {'; '.join(fault.messages)}") from fault


def _letters(count: int) -> str:
    return "1 letter is" if count == 1 else f"{count} letters are"


def _instant(text: str) -> datetime:
    try:
        given = datetime.fromisoformat(text)
    except ValueError as fault:
        raise CommandError(f"--before: {text!r} is not an instant like 2027-04-12T06:00") from fault
    return given if given.tzinfo else given.replace(tzinfo=UTC)
