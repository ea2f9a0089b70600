"""A file of old records as the committee looks at it before it is kept."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from plots.models import Plot, Site
from plots.record_drafts import Draft
from plots.record_services import RecordImport
from plots.selectors import season_name
from plots.tables import Fault
from schedules.record_words import (
    account_lines,
    counted_words,
    counts_of,
    draft_name,
    otherwise_line,
    overlap_line,
    shortened,
)

# What one page holds: a file of twenty thousand rows is told of in figures.
FAULTS_LISTED, LINES_LISTED, ENTRIES_LISTED, PLOTS_LISTED = 60, 30, 400, 100


@dataclass(frozen=True, slots=True)
class EntrySaid:
    """One thing that would be added, in words; ``is_coarse`` where its place is known only roughly."""

    name: str
    place: str
    is_coarse: bool


@dataclass(frozen=True, slots=True)
class SeasonSaid:
    name: str
    entries: tuple[EntrySaid, ...]


@dataclass(frozen=True, slots=True)
class PlotSaid:
    """What a plot's record would gain; the seasons are empty where there is too much to list."""

    plot: Plot
    count: int
    coarse: int
    first: str
    last: str
    seasons: tuple[SeasonSaid, ...]


@dataclass(frozen=True, slots=True)
class RecordPreview:
    """What keeping a file would do. ``carried`` is the file itself for the page's hidden field."""

    site: Site
    outcome: RecordImport
    carried: str

    @property
    def is_good(self) -> bool:
        """Whether there is something to keep, and nothing against it."""
        return not self.outcome.faults and bool(self.outcome.added or self.outcome.since)

    @property
    def head(self) -> str:
        """The sentence that matters."""
        found = self.outcome
        if found.faults:
            count = len(found.faults)
            things = "1 thing" if count == 1 else f"{count} things"
            return f"{things} in the file cannot be read, so nothing can be kept yet"
        if found.added:
            count = len(found.added)
            entries = "entry" if count == 1 else "entries"
            return f"{count} {entries} would be added to the record of {self.site.name}"
        if found.since:
            return "All of the file is on record already; only from when it is complete would change"
        if found.otherwise:
            return "The record says otherwise, so nothing of the file would be added"
        return "All of the file is on record already" if found.known else "The file holds nothing to keep"

    @property
    def counted(self) -> str:
        said = counted_words(counts_of(self.outcome))
        return f"{said[:1].upper()}{said[1:]}."

    @property
    def saved_words(self) -> str:
        counted = counted_words({**counts_of(self.outcome), "record_since": self.outcome.since})
        return f"Kept: {counted}. The ground is judged again."

    @property
    def faults(self) -> tuple[Fault, ...]:
        return self.outcome.faults[:FAULTS_LISTED]

    @property
    def more_faults(self) -> int:
        return max(0, len(self.outcome.faults) - FAULTS_LISTED)

    @property
    def lines(self) -> list[str]:
        return shortened(account_lines(self.outcome), LINES_LISTED)

    @property
    def otherwise(self) -> list[str]:
        return shortened([otherwise_line(self.site, each) for each in self.outcome.otherwise], LINES_LISTED)

    @property
    def overlaps(self) -> list[str]:
        return shortened([overlap_line(self.site, each) for each in self.outcome.overlaps], LINES_LISTED)

    @property
    def plots(self) -> list[PlotSaid]:
        return list(self._plots())[:PLOTS_LISTED]

    @property
    def more_plots(self) -> int:
        return max(0, len(self.outcome.plots) - PLOTS_LISTED)

    def _plots(self) -> Iterator[PlotSaid]:
        by_plot: Mapping[int, list[Draft]] = defaultdict(list)
        for draft in self.outcome.added:
            by_plot[draft.ground.plot.pk].append(draft)
        room = ENTRIES_LISTED
        for plot in self.outcome.plots:
            drafts = by_plot[plot.pk]
            room -= len(drafts)
            yield PlotSaid(
                plot,
                len(drafts),
                sum(draft.ground.is_coarse for draft in drafts),
                season_name(self.site, min(draft.first for draft in drafts)),
                season_name(self.site, max(draft.last for draft in drafts)),
                tuple(self._seasons(drafts)) if room >= 0 else (),
            )

    def _seasons(self, drafts: list[Draft]) -> Iterator[SeasonSaid]:
        by_season: Mapping[int, list[Draft]] = defaultdict(list)
        for draft in drafts:
            by_season[draft.first].append(draft)
        for season in sorted(by_season):
            entries = (
                EntrySaid(draft_name(draft), draft.ground.place, draft.ground.is_coarse)
                for draft in by_season[season]
            )
            yield SeasonSaid(season_name(self.site, season), tuple(entries))
