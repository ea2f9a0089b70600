"""Ground that has not rested, as the committee reads it: numbered lines and the site's plan of the same."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from plots.crops import crop as crop_of
from plots.holding_selectors import plots_on
from plots.models import GroundVerdict, Plot, Site
from plots.selectors import season_name
from schedules.hatches import mark_of
from schedules.plot_page import LEVEL_WORDS, family_name
from schedules.site_drawing import PlotShape, WarnedShape, site_drawing
from schedules.stored_reasons import verdict_read


@dataclass(frozen=True, slots=True)
class WarnedLine:
    """One patch that is warned of: where, what, how much of it, why, and what was said to it."""

    number: int
    verdict: GroundVerdict
    plot: Plot
    place: str
    crop_name: str
    family: str
    family_name: str
    mark: str
    season: str
    level_words: str
    why: str
    free_from: str
    overruled_while: str

    @property
    def is_allowed(self) -> bool:
        return self.verdict.is_overruled

    @property
    def percent(self) -> int:
        return round(self.verdict.share * 100)


def ground_lines(verdicts: Iterable[GroundVerdict], *, first: int) -> list[WarnedLine]:
    return [warned_line(verdict, number=first + index) for index, verdict in enumerate(verdicts)]


def warned_line(verdict: GroundVerdict, *, number: int) -> WarnedLine:
    sowing, patch = verdict.sowing, verdict.sowing.patch
    crop = crop_of(sowing.crop)
    named = partial(season_name, patch.plot.site)
    return WarnedLine(
        number=number,
        verdict=verdict,
        plot=patch.plot,
        place=patch.bed.name if patch.bed else "outside any bed",
        crop_name=crop.name,
        family=crop.family,
        family_name=family_name(crop.family),
        mark=mark_of(crop.family),
        season=named(sowing.season),
        level_words=LEVEL_WORDS.get(verdict.level, verdict.level),
        why=verdict_read(verdict.rule, verdict.values, season_name=named),
        free_from=named(verdict.free_from_season) if verdict.free_from_season else "",
        overruled_while=LEVEL_WORDS.get(verdict.overruled_level, verdict.overruled_level),
    )


def ground_plan(site: Site, lines: Sequence[WarnedLine], *, on: date) -> str:
    """The site to scale with the patches of these lines under the same numbers. One query."""
    return site_drawing(
        title=f"Plan of {site.name}: ground that has not rested",
        words="Drawn to scale, north up. The table below says the same in words, number by number.",
        plots=[PlotShape(plot.number, plot.outline) for plot in plots_on(site, on=on)],
        warned=[
            WarnedShape(
                line.number,
                f"{line.number}: {line.crop_name}, plot {line.plot.number}, {line.place}",
                line.family,
                line.verdict.sowing.patch.outline,
                line.is_allowed,
            )
            for line in lines
        ],
    )
