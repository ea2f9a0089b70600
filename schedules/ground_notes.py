"""What was done to a piece of ground, seen in it and grown on it beside the crops, line by line."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from plots.ground_history import GroundHistory, ground_history
from plots.ground_selectors import customs_of
from plots.measures import length_words
from plots.models import GroundEvent, GroundEventKind, HowSure, OtherUse, Plot, Sighting
from plots.models.outlined import Outlined
from plots.other_use_families import plain_family_name
from plots.outlines import Corners
from plots.placing import patch_sides
from plots.rotation import Customs, problems
from plots.selectors import season_name
from schedules.planner.sentences import Units
from schedules.sighting_words import ProblemWords, problem_words
from schedules.wording import date_words
from society.zones import zone

SURE_WORDS: Mapping[str, str] = {
    HowSure.CERTAIN: "was certain",
    HowSure.THINK: "thought so",
    HowSure.GUESS: "could only guess",
}
Row = TypeVar("Row", GroundEvent, Sighting, OtherUse)


@dataclass(frozen=True, slots=True)
class NoteLine:
    """One entry in words. ``is_own`` says that it was entered for the plot that is shown."""

    pk: int
    what: str
    where: str
    note: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class SightingLine:
    """A problem where it was seen, how sure that is, and what it means."""

    row: Sighting
    head: str
    where: str
    state: str
    words: ProblemWords


@dataclass(frozen=True, slots=True)
class GroundNotes:
    """What stands, the latest first, and what was withdrawn, in words only."""

    events: tuple[NoteLine, ...]
    sightings: tuple[SightingLine, ...]
    other_uses: tuple[NoteLine, ...]
    withdrawn: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        return not (self.events or self.sightings or self.other_uses or self.withdrawn)


def ground_notes(
    plot: Plot, outline: Corners, *, units: Units, customs: Customs | None = None
) -> GroundNotes:
    """Everything that shares ground with an outline of a plot. Three queries, five without the customs."""
    known = ground_history(plot.site, outline)
    own = customs_of(plot.site.society) if customs is None else customs

    def line(row: GroundEvent | OtherUse, what: str) -> NoteLine:
        return NoteLine(row.pk, what, where_words(row, units, plot), row.note, row.plot_id == plot.pk)

    return GroundNotes(
        events=tuple(line(row, event_words(row)) for row in _standing(known.events)),
        sightings=tuple(
            sighting_line(row, problem_words(problems()[row.problem], own), where_words(row, units, plot))
            for row in _standing(known.sightings)
            if row.problem in problems()
        ),
        other_uses=tuple(line(row, use_words(row)) for row in _standing(known.other_uses)),
        withdrawn=tuple(_withdrawn(known, units, plot)),
    )


def sighting_line(row: Sighting, words: ProblemWords, where: str) -> SightingLine:
    return SightingLine(row, seen_words(row), where, _state(row), words)


def seen_words(row: Sighting) -> str:
    """'Clubroot, seen on 12 June 2026'; by its key where it is on the list no more."""
    problem = problems().get(row.problem)
    name = problem.name if problem else row.problem
    return f"{name[:1].upper()}{name[1:]}, seen on {date_words(row.seen_on)}"


def _state(row: Sighting) -> str:
    if row.is_sure:
        day = (
            f" on {date_words(row.confirmed_at.astimezone(zone(row.site.zone)).date())}"
            if row.confirmed_at
            else ""
        )
        return f"The committee confirmed it{day}, so it counts for certain."
    sure = SURE_WORDS.get(row.how_sure, row.how_sure)
    return f"Whoever saw it {sure}. Until the committee confirms it, this ground is only perhaps unfit."


def event_words(row: GroundEvent) -> str:
    """'Lime, 2 March 2027', 'pH 6.4, read on 2 March 2027', 'Shade since 1 May 2026'."""
    day = date_words(row.on)
    if row.kind == GroundEventKind.PH:
        return f"pH {row.value:g}, read on {day}"
    if row.kind == GroundEventKind.SHADE:
        return f"Shade from {day} to {date_words(row.until)}" if row.until else f"Shade since {day}"
    kind = row.get_kind_display()
    return f"{kind[:1].upper()}{kind[1:]}, {day}"


def use_words(row: OtherUse) -> str:
    """'Mustard (cabbage family), 2026 to 2027'."""
    first, last = (season_name(row.site, season) for season in (row.first_season, row.last_season))
    when = first if first == last else f"{first} to {last}"
    root = ", a root" if row.is_root else ""
    return f"{row.name[:1].upper()}{row.name[1:]} ({plain_family_name(row.family)}{root}), {when}"


def where_words(row: GroundEvent | Sighting | OtherUse, units: Units, shown: Plot | None = None) -> str:
    """'bed 1', 'the whole plot', 'a part of bed 1, 2 m by 1.2 m'; if entered for another plot, which."""
    whole = row.bed.outline if row.bed else row.plot.outline
    if row.outline == whole:
        said = row.bed.name if row.bed else "the whole plot"
    else:
        said = f"a part of {row.bed.name if row.bed else 'the plot'}, {_sides(row, units)}"
    if isinstance(row, OtherUse) and row.is_coarse:
        said = f"somewhere on {said}"
    return said if shown is None or row.plot_id == shown.pk else f"{said}, entered for plot {row.plot.number}"


def _sides(row: Outlined, units: Units) -> str:
    length_m, width_m = patch_sides(row.outline)
    return f"{length_words(length_m, units)} by {length_words(width_m, units)}"


def _standing(rows: Sequence[Row]) -> list[Row]:
    return [row for row in rows if row.withdrawn_at is None]


def _withdrawn(known: GroundHistory, units: Units, plot: Plot) -> Iterable[str]:
    for event in known.events:
        if event.withdrawn_at:
            yield f"{event_words(event)}, {where_words(event, units, plot)}"
    for row in known.sightings:
        if row.withdrawn_at:
            yield f"{seen_words(row)}, {where_words(row, units, plot)}: {row.withdrawn_because}"
    for use in known.other_uses:
        if use.withdrawn_at:
            yield f"{use_words(use)}, {where_words(use, units, plot)}"
