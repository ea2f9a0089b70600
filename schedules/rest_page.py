"""Ground at rest: a site's beds drawn and in a table, with the seasons before a family may return."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import groupby, islice

from plots.crops import crop as crop_of
from plots.crops import crops
from plots.models import Plot, Site
from plots.rest_selectors import (
    ROOTS,
    GroundPiece,
    PieceRest,
    families_resting,
    first_season_on_record,
    pieces_there,
    rests_from,
)
from plots.rotation import Level
from plots.selectors import season_name, season_of
from plots.verdict_selectors import rests_broken
from schedules.drafting import apart
from schedules.ground_page import WarnedLine, ground_lines
from schedules.ground_rest import LEVEL_WORDS, family_name
from schedules.hatches import mark_of
from schedules.rest_drawing import DOTS, RestShape, pattern_id, rest_drawing
from schedules.site_drawing import PlotShape
from schedules.stored_reasons import verdict_read
from society.templatetags.words import in_words

SEASONS_AHEAD = 6
# As many plots as can be read on one page of paper.
PLOTS_A_SHEET = 24
MOST_STEPS = 40


@dataclass(frozen=True, slots=True)
class FamilyChoice:
    key: str
    name: str
    mark: str


@dataclass(frozen=True, slots=True)
class Step:
    year: int
    name: str


@dataclass(frozen=True, slots=True)
class RestLine:
    """One bed in words; the figure is the one that is drawn in it. ``why`` only where the family's own rest
    does not decide."""

    plot: Plot
    place: str
    figure: str
    seasons: int | None
    level: Level
    state: str
    share: int
    free_from: str
    grown: tuple[str, ...]
    why: str
    source: str

    @property
    def words(self) -> str:
        """'Plot 7, bed 2: three seasons, from 2030'."""
        where = f"Plot {self.plot.number}, {self.place}"
        if self.seasons is None:
            return f"{where}: no record"
        if not self.seasons:
            return f"{where}: rested"
        perhaps = "perhaps " if self.level is Level.POSSIBLE else ""
        plural = "" if self.seasons == 1 else "s"
        return f"{where}: {perhaps}{in_words(self.seasons)} season{plural}, from {self.free_from}"


@dataclass(frozen=True, slots=True)
class RestSheet:
    """Some plots of the site on one drawing, the beds' lines, and the rests broken on them."""

    number: int
    first: str
    last: str
    drawing: str
    lines: Sequence[RestLine]


@dataclass(frozen=True, slots=True)
class RestPage:
    site: Site
    family: FamilyChoice
    families: Sequence[FamilyChoice]
    season: Step
    present: Step
    before: Step | None
    after: Step | None
    steps: Sequence[Step]
    head: str
    plan_words: str
    sheets: Sequence[RestSheet]
    sheet: int
    sheet_count: int
    plot: str
    plots: Sequence[str]
    warned: Sequence[WarnedLine]
    legend: Sequence[tuple[str, str]]
    rule: str
    source: str

    @property
    def other_sheets(self) -> Sequence[int]:
        return range(1, self.sheet_count + 1) if self.sheet_count > 1 else ()


def seasons_shown(site: Site, *, today: date) -> range:
    """From the earliest season on record to six seasons ahead."""
    present = season_of(site, today)
    first = first_season_on_record(site, present=present)
    return range(max(first, present - MOST_STEPS), present + SEASONS_AHEAD + 1)


def rest_page(
    site: Site, *, family: str, season: int, seasons: range, sheet: int, today: date, plot: str = ""
) -> RestPage:
    """One page; only what is on it is judged. ``sheet`` 0 shows all sheets, to be printed.

    ``plot`` is the number of the one plot to show, large; all of them where it is empty or not there then.

    About fifteen queries, whatever is on record.
    """
    present = season_of(site, today)
    name = partial(season_name, site)
    there = pieces_there(site, season=season, today=today)
    plots = list(dict.fromkeys(piece.plot.number for piece in there))
    only = plot if plot in plots else ""
    parts = _parts([piece for piece in there if only in ("", piece.plot.number)])
    chosen = min(sheet, len(parts))
    numbers = [chosen] if chosen else list(range(1, len(parts) + 1))
    asked = [piece for number in numbers for piece in parts[number - 1]]
    rests = rests_from(site, asked, family=family, season=season, present=present)
    left = iter(rests)
    shown = [(number, list(islice(left, len(parts[number - 1])))) for number in numbers]
    grown = [crop.key for crop in crops() if crop.family == family]
    on_sheets = {piece.plot.pk for piece in asked}
    broken = rests_broken(site, season=season, crops=grown).filter(sowing__patch__plot__in=on_sheets)
    rule, source = _rule(rests, family)
    return RestPage(
        site=site,
        family=_choice(family),
        families=[_choice(each) for each in families_resting()],
        season=Step(season, name(season)),
        present=Step(present, name(present)),
        before=Step(season - 1, name(season - 1)) if season - 1 in seasons else None,
        after=Step(season + 1, name(season + 1)) if season + 1 in seasons else None,
        steps=[Step(year, name(year)) for year in seasons],
        head=_head(rests, family, name(season), is_all=len(numbers) == len(parts) and not only),
        plan_words=_plan_words(season, present),
        sheets=[_sheet(number, part, site, family, season) for number, part in shown],
        sheet=chosen,
        sheet_count=len(parts),
        plot=only,
        plots=plots,
        warned=ground_lines(broken, first=1),
        legend=_legend(shown),
        rule=rule,
        source=source,
    )


def _choice(family: str) -> FamilyChoice:
    name = "roots of the carrot family" if family == ROOTS else family_name(family)
    return FamilyChoice(family, name, mark_of(family))


def _parts(pieces: Sequence[GroundPiece]) -> list[list[GroundPiece]]:
    """The pieces of each sheet, plot by plot."""
    plots = [list(each) for _, each in groupby(pieces, key=lambda piece: piece.plot.pk)]
    return [
        [piece for plot in plots[at : at + PLOTS_A_SHEET] for piece in plot]
        for at in range(0, len(plots), PLOTS_A_SHEET)
    ]


def _head(rests: Sequence[PieceRest], family: str, season: str, *, is_all: bool) -> str:
    """'Roots may return to 41 of 96 beds in 2027; of two too little is known'."""
    whose = "Roots" if family == ROOTS else f"The {family_name(family)}"
    if not rests:
        return f"No ground is laid out in {season}"
    free = sum(rest.seasons == 0 for rest in rests)
    unknown = sum(rest.seasons is None for rest in rests)
    beds = "bed" if len(rests) == 1 else "beds"
    plots = [rest.piece.plot.number for rest in rests]
    which = f"plots {plots[0]} to {plots[-1]}" if plots[0] != plots[-1] else f"plot {plots[0]}"
    where = "" if is_all else f" of {which}"
    said = f"{whose} may return to {free} of {len(rests)} {beds}{where} in {season}"
    return f"{said}; of {in_words(unknown)} too little is known" if unknown else said


def _plan_words(season: int, present: int) -> str:
    if season > present:
        return "What is planned until then counts as if it were grown; what nobody has planned yet does not."
    if season < present:
        return "As the record has it today of that season."
    return "What stands or is planned this season counts."


def _sheet(number: int, rests: Sequence[PieceRest], site: Site, family: str, season: int) -> RestSheet:
    lines = [_line(rest, site) for rest in rests]
    plots = list({rest.piece.plot.pk: rest.piece.plot for rest in rests}.values())
    name = family_name(family)
    drawing = rest_drawing(
        title=f"{site.name}, {season_name(site, season)}: ground at rest from the {name}",
        words="Drawn to scale, north up. The table below says the same in words, bed by bed.",
        plots=[PlotShape(plot.number, plot.outline) for plot in plots],
        beds=[_shape(rest, line) for rest, line in zip(rests, lines, strict=True)],
    )
    return RestSheet(number, plots[0].number, plots[-1].number, apart(drawing, f"s{number}-"), lines)


def _shape(rest: PieceRest, line: RestLine) -> RestShape:
    return RestShape(rest.piece.outline, line.words, rest.seasons, rest.is_coarse)


def _line(rest: PieceRest, site: Site) -> RestLine:
    name, verdict = partial(season_name, site), rest.verdict
    piece = rest.piece
    free = rest.free_from if rest.level is not Level.SOUND else None
    return RestLine(
        plot=piece.plot,
        place=piece.bed.name if piece.bed else "no bed laid out",
        figure=RestShape(piece.outline, "", rest.seasons, rest.is_coarse).figure,
        seasons=rest.seasons,
        level=rest.level,
        state=LEVEL_WORDS[verdict.level],
        share=round(verdict.share * 100),
        free_from=name(free) if free else "",
        grown=tuple(_grown(rest, name)),
        why="" if _is_by_family(rest) else verdict_read(verdict.rule, verdict.values, season_name=name),
        source=verdict.source,
    )


def _is_by_family(rest: PieceRest) -> bool:
    """Whether the family's own rest decides, and not a problem seen here or the society's rule for roots."""
    return rest.verdict.values.get("claim") == "family"


def _rule(rests: Sequence[PieceRest], family: str) -> tuple[str, str]:
    """The rest of the family as it holds here, in words, and its source."""
    for rest in rests:
        if _is_by_family(rest):
            values = rest.verdict.values
            words = (
                f"The {family_name(family)} rests {values['minimum_seasons']} full seasons at the least; "
                f"{values['recommended_seasons']} are advised, and until then ground counts as at rest."
            )
            return words, rest.verdict.source
    return "", ""


def _grown(rest: PieceRest, name: Callable[[int], str]) -> Iterator[str]:
    """'carrot (early), 2026', each earlier crop once, the latest first."""
    seen = set()
    for each in sorted(rest.verdict.overlaps, key=lambda overlap: -overlap.last_season):
        said = crop_of(each.crop_key).name_in_text if each.crop_key else each.crop_name
        words = f"{said}, {name(each.last_season)}{' (coarse record)' if each.coarse else ''}"
        if words not in seen:
            seen.add(words)
            yield words


def _legend(shown: Sequence[tuple[int, Sequence[PieceRest]]]) -> list[tuple[str, str]]:
    """Each pattern that is drawn, by its name in the first drawing, and what it means."""
    rests = [rest for _, part in shown for rest in part]
    own = f"s{shown[0][0]}-" if shown else ""
    found = []
    for seasons in sorted(
        {min(rest.seasons, len(DOTS)) for rest in rests if rest.seasons and not rest.is_coarse}
    ):
        more = " or more" if seasons == len(DOTS) else ""
        words = f"{in_words(seasons)}{more} season{'' if seasons == 1 and not more else 's'} still to rest"
        found.append((f"{own}{pattern_id(seasons)}", words))
    if any(rest.is_coarse for rest in rests):
        found.append(
            (f"{own}{pattern_id(0, is_coarse=True)}", "perhaps not rested: only a coarse record says so")
        )
    return found
