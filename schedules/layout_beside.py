"""Two layouts of one question side by side: what each is worth, and where they differ."""

from collections.abc import Sequence
from dataclasses import dataclass

from plots.layout_selectors import Question
from plots.models import LayoutProposal
from schedules.layout_page import CellCrop, LayoutPage, layout_page
from schedules.planner.sentences import Units
from society.templatetags.words import in_words


@dataclass(frozen=True, slots=True)
class Pair:
    """One place in one season: what the first layout has there, and the second."""

    season: str
    first: Sequence[CellCrop]
    second: Sequence[CellCrop]

    @property
    def is_same(self) -> bool:
        return list(self.first) == list(self.second)


@dataclass(frozen=True, slots=True)
class PairLine:
    name: str
    pairs: Sequence[Pair]


@dataclass(frozen=True, slots=True)
class BesidePage:
    first: LayoutPage
    second: LayoutPage
    lines: Sequence[PairLine]

    @property
    def sides(self) -> Sequence[tuple[str, LayoutPage]]:
        return ("First", self.first), ("Second", self.second)

    @property
    def drawings(self) -> Sequence[tuple[str, str]]:
        """Season by season, the first layout and then the second."""
        pairs = zip(self.first.drawings, self.second.drawings, strict=True)
        return [
            (f"{each.name}, {side}", each.drawing)
            for pair in pairs
            for side, each in zip(("first", "second"), pair, strict=True)
        ]

    @property
    def head(self) -> str:
        """'Two layouts that differ in three of 12 places'."""
        pairs = [pair for line in self.lines for pair in line.pairs]
        other = sum(not pair.is_same for pair in pairs)
        if not other:
            return "Two layouts that put everything in the same places"
        return f"Two layouts that differ in {in_words(other)} of {len(pairs)} places"


def beside_page(
    first: LayoutProposal, second: LayoutProposal, present: Question | None, *, units: Units
) -> BesidePage:
    """Both pages, each drawing with names of its own. Two queries more than the question took."""
    one = layout_page(first, present, units=units, own="first-")
    other = layout_page(second, present, units=units, own="second-")
    return BesidePage(
        one,
        other,
        [
            PairLine(
                mine.name,
                [Pair(a.season, a.crops, b.crops) for a, b in zip(mine.cells, theirs.cells, strict=True)],
            )
            for mine, theirs in zip(one.lines, other.lines, strict=True)
        ],
    )
