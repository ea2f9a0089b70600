"""A weather file as the committee looks at it before it is kept."""

from dataclasses import dataclass
from datetime import datetime

from plots.models import Site
from schedules.weather_csv import (
    Fault,
    is_normals,
    read_normals,
    read_weather,
    suspect_line,
    wrong_unit_line,
)
from schedules.weather_services import WeatherImport, normals_import, weather_import

LISTED = 30


@dataclass(frozen=True, slots=True)
class FilePreview:
    """What keeping a file would do, or did."""

    outcome: WeatherImport
    text: str

    @property
    def rows(self) -> int:
        return self.outcome.added + self.outcome.changed + self.outcome.unchanged

    @property
    def is_good(self) -> bool:
        """Whether all of it may be kept."""
        sound = not self.outcome.faults and self.outcome.wrong_unit is None
        return sound and bool(self.rows or self.outcome.set_aside)

    @property
    def things(self) -> str:
        return "monthly means" if self.outcome.kind == "normals" else "days"

    @property
    def head(self) -> str:
        """The sentence that matters."""
        found = self.outcome
        if found.wrong_unit is not None:
            return "The unit of the temperatures looks wrong, so nothing can be kept yet"
        if found.faults:
            count = len(found.faults)
            return f"{count} row{'' if count == 1 else 's'} cannot be read, so nothing can be kept yet"
        if not self.rows and not found.set_aside:
            return "The file holds nothing to keep"
        if found.added or found.changed or found.set_aside:
            return "All of the file can be kept"
        return f"All {self.rows} {self.things} are in the book already"

    @property
    def saved_words(self) -> str:
        found = self.outcome
        aside = f", {len(found.set_aside)} figures set aside" if found.set_aside else ""
        return (
            f"Kept: {found.added} {self.things} new, {found.changed} corrected, {found.unchanged} as they "
            f"were{aside}. The dates are worked out again."
        )

    @property
    def faults(self) -> tuple[Fault, ...]:
        return self.outcome.faults[:LISTED]

    @property
    def set_aside(self) -> list[str]:
        return [suspect_line(each) for each in self.outcome.set_aside[:LISTED]]

    @property
    def more_faults(self) -> int:
        return max(0, len(self.outcome.faults) - LISTED)

    @property
    def more_set_aside(self) -> int:
        return max(0, len(self.outcome.set_aside) - LISTED)

    @property
    def wrong_unit(self) -> str:
        return wrong_unit_line(self.outcome.wrong_unit) if self.outcome.wrong_unit else ""


def weather_file_taken(
    *, site: Site, text: str, now: datetime, keeps: bool, unit_is_right: bool
) -> FilePreview:
    """Read a file and, where ``keeps``, save it: all of it or nothing. Days and monthly means alike."""
    if is_normals(text):
        outcome = normals_import(site=site, file=read_normals(text), now=now, dry_run=not keeps)
    else:
        outcome = weather_import(
            site=site,
            file=read_weather(text),
            skip_bad=False,
            now=now,
            dry_run=not keeps,
            unit_is_right=unit_is_right,
        )
    return FilePreview(outcome, text)
