"""What the page of wishes begins with: those kept, or what grows and is planned this season."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import QueryDict

from plots.crops import crop as crop_of
from plots.layout_dressings import MIDSUMMER
from plots.layout_pieces import beds_to_lay_out, piece_key, pieces_of
from plots.layout_selectors import ask_of
from plots.models import LayoutAsk, LayoutPlace, LayoutWish, Plot, Sowing
from plots.selectors import season_name, season_of, sowings_of_plot
from schedules.layout_areas import AREA, ROWS, amount_of
from schedules.layout_forms import WEIGHTS, FormSeason, WishesForm
from schedules.planner.sentences import Units

BLANK_ROWS = 3
BLANK_PLACES = 2
SEASONS_AT_FIRST = 4


@dataclass(frozen=True, slots=True)
class _Row:
    crop: str
    in_rows: bool
    weight: float
    areas_m2: dict[int, float]


def wishes_form(plot: Plot, *, today: date, units: Units, data: QueryDict | None = None) -> WishesForm:
    """The form for a plot. A handful of queries, however many wishes."""
    present = season_of(plot.site, today)
    kept = ask_of(plot)
    ask = kept if kept and kept.first_season >= present else _fresh(plot, kept, today)
    places = list(LayoutPlace.objects.filter(plot=plot))
    rows = _kept_rows(plot, ask) if kept else _growing_rows(plot, present, ask)
    columns = [
        FormSeason(year, season_name(plot.site, year))
        for year in range(ask.first_season, ask.last_season + 1)
    ]
    return WishesForm(
        data,
        initial=_initial(ask, rows, places, columns, units),
        rows=_count(data, "crop_", len(rows) + BLANK_ROWS),
        place_rows=_count(data, "place_crop_", len(places) + BLANK_PLACES),
        firsts=[FormSeason(year, season_name(plot.site, year)) for year in (present, present + 1)],
        seasons=columns,
        beds=beds_to_lay_out(plot, ask.first_season),
        pieces=pieces_of(plot, ask),
        units=units,
    )


def _count(data: QueryDict | None, prefix: str, least: int) -> int:
    """As many rows as were sent, so that none is lost when somebody else took some away."""
    sent = [name for name in data or {} if name.startswith(prefix) and name.removeprefix(prefix).isdecimal()]
    return max(least, *(int(name.removeprefix(prefix)) + 1 for name in sent)) if sent else least


def _fresh(plot: Plot, kept: LayoutAsk | None, today: date) -> LayoutAsk:
    """A new frame: this season until midsummer, the next one from then on."""
    present = season_of(plot.site, today)
    month, day = MIDSUMMER[plot.site.latitude >= 0]
    begins = date(present, plot.site.season_month, plot.site.season_day)
    midsummer = date(present if (month, day) >= (begins.month, begins.day) else present + 1, month, day)
    return LayoutAsk(
        plot=plot,
        first_season=present if today <= midsummer else present + 1,
        seasons=kept.seasons if kept else SEASONS_AT_FIRST,
        divisions=kept.divisions if kept else {},
        version=kept.version if kept else 0,
    )


def _kept_rows(plot: Plot, ask: LayoutAsk) -> list[_Row]:
    found: dict[str, list[LayoutWish]] = defaultdict(list)
    for wish in LayoutWish.objects.filter(plot=plot).order_by("pk"):
        found[wish.crop].append(wish)
    return [
        _Row(crop, rows[0].in_rows, rows[0].weight, {row.season: row.area_m2 for row in rows})
        for crop, rows in found.items()
    ]


def _growing_rows(plot: Plot, present: int, ask: LayoutAsk) -> list[_Row]:
    """What grew, stands or is planned this season, as much of it in every season to come."""
    areas: dict[str, float] = defaultdict(float)
    for row in sowings_of_plot(plot, season=present):
        if row.state != Sowing.State.CLEARED and not crop_of(row.crop).is_perennial:
            areas[row.crop] += row.patch.area_m2
    seasons = range(ask.first_season, ask.last_season + 1)
    return [
        _Row(crop, False, 1.0, dict.fromkeys(seasons, round(area, 2))) for crop, area in sorted(areas.items())
    ]


def _initial(
    ask: LayoutAsk,
    rows: Sequence[_Row],
    places: Sequence[LayoutPlace],
    columns: Sequence[FormSeason],
    units: Units,
) -> dict[str, Any]:
    found: dict[str, Any] = {
        "first_season": ask.first_season,
        "seasons": ask.seasons,
        "version": ask.version,
    }
    for bed, count in ask.divisions.items():
        found[f"strips_{bed}"] = count
    for number, row in enumerate(rows):
        crop = crop_of(row.crop)
        found[f"crop_{number}"] = row.crop
        found[f"unit_{number}"] = ROWS if row.in_rows else AREA
        found[f"weight_{number}"] = next((key for key in WEIGHTS if float(key) == row.weight), "1.0")
        for season in columns:
            if area_m2 := row.areas_m2.get(season.year):
                said = amount_of(area_m2, crop=crop, in_rows=row.in_rows, units=units)
                found[f"amount_{number}_{season.year}"] = said
    for number, place in enumerate(places):
        found[f"place_crop_{number}"] = place.crop
        found[f"place_piece_{number}"] = piece_key(place.bed_id, place.strip)
        found[f"place_kind_{number}"] = place.kind
        found[f"place_season_{number}"] = str(place.season) if place.season else ""
    return found
