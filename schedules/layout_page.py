"""A proposed layout as its page shows it: beds by seasons, drawn, and every trouble in words."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from plots.crops import crop as crop_of
from plots.layout_patches import LaidShare, kept_outlines, laid_out
from plots.layout_selectors import Question
from plots.models import LayoutProposal
from plots.rotation.proposals import Problem, Proposal, Trouble, answer_from, problem_from
from plots.rotation.proposals.wording import is_told, trouble_words
from plots.selectors import season_name
from schedules.drafting import apart
from schedules.drawing import BedShape, CropShape, plot_drawing
from schedules.ground_rest import family_name
from schedules.hatches import hatch_id, mark_of
from schedules.layout_adoption import stale_words
from schedules.layout_areas import area_text, row_width_m
from schedules.planner.sentences import Units

SLIGHT = 0.05
# Below this a gap is said as 1 %, for 0 % would read as proven.
LEAST_SAID_GAP = 0.01
WARNINGS = {
    "under recommended": "short of the rest advised",
    "broken": "under the least rest",
    "barred": "ground not free for it",
}


@dataclass(frozen=True, slots=True)
class CellCrop:
    name: str
    mark: str
    area: str
    is_kept: bool
    warning: str


@dataclass(frozen=True, slots=True)
class Cell:
    season: str
    crops: Sequence[CellCrop]


@dataclass(frozen=True, slots=True)
class PieceLine:
    name: str
    cells: Sequence[Cell]


@dataclass(frozen=True, slots=True)
class SeasonDrawing:
    name: str
    drawing: str


@dataclass(frozen=True, slots=True)
class FamilyLine:
    hatch: str
    mark: str
    family_name: str


@dataclass(frozen=True, slots=True)
class LayoutPage:
    proposal: LayoutProposal
    seasons: Sequence[str]
    lines: Sequence[PieceLine]
    drawings: Sequence[SeasonDrawing]
    legend: Sequence[FamilyLine]
    troubles: Sequence[str]
    head: str
    proof: str
    stale: str
    points: str
    pieces: Sequence[tuple[str, str]]
    wishes: Sequence[tuple[str, Sequence[tuple[str, str]]]]

    @property
    def can_adopt(self) -> bool:
        return not self.stale and self.proposal.adopted_at is None


@dataclass(frozen=True, slots=True)
class ChangePage:
    """What a changed cell would cost, before it is kept."""

    page: LayoutPage
    head: str
    brings: Sequence[str]
    mends: Sequence[str]


def layout_page(
    proposal: LayoutProposal,
    present: Question | None,
    *,
    units: Units,
    answer: Proposal | None = None,
    own: str = "",
) -> LayoutPage:
    """One query more than the question took; ``answer`` is the proposal's own unless a cell is changed.

    ``own`` goes before the names in its drawings, where a page shows two layouts.
    """
    problem = problem_from(proposal.problem)
    shown = answer or answer_from(proposal.answer)
    pieces = {piece.key: piece for piece in present.pieces} if present else {}
    laid = laid_out(problem, shown.shares, pieces, kept_outlines(problem))
    name = partial(season_name, proposal.plot.site)
    return LayoutPage(
        proposal=proposal,
        seasons=[name(season) for season in problem.seasons],
        lines=_lines(problem, shown, name, units),
        drawings=[_drawing(proposal, present, laid, season, name, own) for season in problem.seasons],
        legend=_legend(problem, shown, own),
        troubles=_words(problem, shown, name, units),
        head=_head(shown),
        proof=_proof(proposal, shown),
        stale="" if proposal.adopted_at else stale_words(proposal, present),
        points=_points(shown.cost),
        pieces=[(piece.key, piece.name) for piece in problem.pieces],
        wishes=[(name(season), _choices(problem, season)) for season in problem.seasons],
    )


def change_page(
    proposal: LayoutProposal, present: Question | None, problem: Problem, answer: Proposal, *, units: Units
) -> ChangePage:
    """The changed layout beside what it costs more and less than the one it was changed from."""
    name = partial(season_name, proposal.plot.site)
    before, after = answer_from(proposal.answer), answer
    old, new = (_words(problem, each, name, units) for each in (before, after))
    return ChangePage(
        page=layout_page(proposal, present, units=units, answer=answer),
        head=_difference(before, after),
        brings=[words for words in new if words not in old],
        mends=[words for words in old if words not in new],
    )


def _difference(before: Proposal, after: Proposal) -> str:
    more = after.cost - before.cost
    if _breaks(after) > _breaks(before):
        return "This change breaks a rest"
    if abs(more) < SLIGHT:
        return "This change costs nothing"
    return f"This change costs {_points(more)}" if more > 0 else f"This change saves {_points(-more)}"


def _breaks(shown: Proposal) -> int:
    return sum(trouble.kind in {"broken", "barred"} for trouble in shown.troubles)


def _points(cost: float) -> str:
    number = f"{cost:.1f}".removesuffix(".0")
    return f"{number} point{'' if number == '1' else 's'}"


def _head(shown: Proposal) -> str:
    kinds = {trouble.kind for trouble in shown.troubles if is_told(trouble)}
    if "missing" in kinds:
        return "Not every wish finds its ground"
    if kinds & {"broken", "barred"}:
        return "Every wish finds ground, and a settled place breaks a rest"
    if "under recommended" in kinds:
        return "Every wish finds ground, some with the least rest only"
    return "Every wish finds rested ground"


def _proof(proposal: LayoutProposal, shown: Proposal) -> str:
    if shown.gap == float("inf") and not shown.is_proven:
        if proposal.origin == LayoutProposal.Origin.SECOND:
            return "The best that was found in the time given; how much better another may be is not known."
        return "Changed by hand: whether something better is left was not worked out."
    if shown.is_proven:
        second = proposal.origin == LayoutProposal.Origin.SECOND
        return (
            "Of all layouts that differ from the first in a quarter of their places, none costs less; that "
            "is proven."
            if second
            else "No layout of these wishes costs less; that is proven."
        )
    percent = f"{shown.gap:.0%}".replace("%", " %") if shown.gap >= LEAST_SAID_GAP else "1 %"
    return (
        "The best that was found in the time given. It is not proven: another may cost up to "
        f"{percent} less. Ask again by night, when there is more time."
    )


def _words(problem: Problem, shown: Proposal, name: Callable[[int], str], units: Units) -> Sequence[str]:
    return trouble_words(problem, shown, season_name=name, area=lambda area: area_text(area, units))


def _lines(
    problem: Problem, shown: Proposal, name: Callable[[int], str], units: Units
) -> Sequence[PieceLine]:
    wishes = {wish.key: wish for wish in problem.wishes}
    warned = {(each.piece, each.wish): WARNINGS[each.kind] for each in _worst_last(shown)}
    cells: dict[tuple[str, int], list[CellCrop]] = defaultdict(list)
    for share in shown.shares:
        wish = wishes[share.wish]
        cells[share.piece, wish.season].append(
            CellCrop(
                name=crop_of(wish.crop).name,
                mark=mark_of(crop_of(wish.crop).family),
                area=area_text(share.area_m2, units),
                is_kept=bool(wish.stand),
                warning=warned.get((share.piece, share.wish), ""),
            )
        )
    return [
        PieceLine(piece.name, [Cell(name(season), cells[piece.key, season]) for season in problem.seasons])
        for piece in problem.pieces
    ]


def _worst_last(shown: Proposal) -> list[Trouble]:
    return sorted((each for each in shown.troubles if each.kind in WARNINGS), key=lambda each: each.cost)


def _choices(problem: Problem, season: int) -> list[tuple[str, str]]:
    wishes = [wish for wish in problem.wishes if wish.season == season and not wish.stand]
    return [*((wish.key, crop_of(wish.crop).name) for wish in wishes), (f"{season}:", "nothing")]


def _legend(problem: Problem, shown: Proposal, own: str) -> list[FamilyLine]:
    """Each family once, with the hatch of the first drawing that has it."""
    found: dict[str, int] = {}
    wishes = {wish.key: wish for wish in problem.wishes}
    for share in shown.shares:
        wish = wishes[share.wish]
        family = crop_of(wish.crop).family
        found[family] = min(wish.season, found.get(family, wish.season))
    return [
        FamilyLine(f"{own}s{season}-{hatch_id(family)}", mark_of(family), family_name(family))
        for family, season in sorted(found.items())
    ]


def _drawing(
    proposal: LayoutProposal,
    present: Question | None,
    laid: Sequence[LaidShare],
    season: int,
    name: Callable[[int], str],
    own: str,
) -> SeasonDrawing:
    """One season to scale. Every drawing of a page has names of its own for its hatches and words."""
    plot, pieces = proposal.plot, present.pieces if present else ()
    svg = plot_drawing(
        title=f"Plan of plot {plot.number}, {name(season)}",
        words="Drawn to scale, north up. The table above says the same in words.",
        outline=plot.outline,
        beds=[BedShape(bed.name, bed.outline) for bed in pieces if bed.is_there(season)],
        crops=[
            CropShape(crop_of(each.wish.crop).name, crop_of(each.wish.crop).family, outline,
                      row_width_m(crop_of(each.wish.crop)))
            for each in laid
            if each.wish.season == season
            for outline in each.outlines
        ],
    )  # fmt: skip
    return SeasonDrawing(name(season), apart(svg, f"{own}s{season}-"))
