"""The file of what was done to the invented ground, seen in it and grown on it besides."""

from collections.abc import Mapping
from pathlib import Path

from plots.models.ground_events import GroundEventKind
from plots.rotation import green_manures, problems
from schedules.demo.tables import Row, table

NOTES = ("plot", "bed", "what", "kind", "seasons_ago", "day", "ph", "state", "note")
KINDS: Mapping[str, tuple[str, ...]] = {
    "event": tuple(GroundEventKind.values),
    "use": tuple(green_manures()),
    "sighting": tuple(problems()),
}
SEEN, TOLD = "seen", "told"


def read_notes(folder: Path, plots: Mapping[str, Row]) -> tuple[Row, ...]:
    """All lines, checked for what the file alone can tell to be wrong."""
    found = tuple(table(folder, "ground_notes.csv", NOTES))
    for row in found:
        row.known("plot", plots, "plot")
        _check(row)
    return found


def _check(row: Row) -> None:
    row.one_of("what", tuple(KINDS))
    row.one_of("kind", KINDS[row.text("what")])
    row.month_day("day")
    row.whole("seasons_ago")
    if row.text("what") == "sighting":
        row.one_of("state", (SEEN, TOLD))
    if row.text("kind") == GroundEventKind.PH:
        row.number("ph")
