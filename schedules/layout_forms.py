"""The table of wishes: a crop a row, a season a column, and what is said of places and strips below it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from plots.crops import crop as crop_of
from plots.layout_pieces import LayoutPiece
from plots.layout_services import PlaceLine, Wanted, WishLine
from plots.models import Bed, LayoutPlace
from plots.models.layouts import MOST_SEASONS, MOST_STRIPS
from schedules.layout_areas import AREA, ROWS, UNIT_WORDS, area_of
from schedules.planner.sentences import Units
from schedules.sowing_fields import MeasureField, ObjectionsForm, version_field
from schedules.sowing_forms import crop_groups

MOST_ROWS = 40
WEIGHTS = {"0.5": "less than others", "1.0": "as much as others", "2.0": "more than others"}
KINDS = [("", "–"), *LayoutPlace.Kind.choices]


@dataclass(frozen=True, slots=True)
class FormSeason:
    year: int
    name: str


@dataclass(frozen=True, slots=True)
class WishRow:
    """The fields of one row, as the page lays them out."""

    number: int
    crop: forms.BoundField
    unit: forms.BoundField
    weight: forms.BoundField
    amounts: Sequence[tuple[FormSeason, forms.BoundField]]


@dataclass(frozen=True, slots=True)
class PlaceRow:
    number: int
    crop: forms.BoundField
    piece: forms.BoundField
    kind: forms.BoundField
    season: forms.BoundField


class WishesForm(ObjectionsForm):
    """What a plot's growers want. Rows and seasons are handed in; nothing here asks the database."""

    first_season = forms.TypedChoiceField(coerce=int, label="First season")
    seasons = forms.TypedChoiceField(
        coerce=int, label="How many seasons", choices=[(n, str(n)) for n in range(1, MOST_SEASONS + 1)]
    )
    version = version_field()

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        initial: dict[str, Any],
        rows: int,
        place_rows: int,
        firsts: Sequence[FormSeason],
        seasons: Sequence[FormSeason],
        beds: Sequence[Bed],
        pieces: Sequence[LayoutPiece],
        units: Units,
    ) -> None:
        super().__init__(data, initial=initial)
        self.rows, self.place_rows = min(rows, MOST_ROWS), min(place_rows, MOST_ROWS)
        self.columns, self.beds, self.units = seasons, beds, units
        self.fields["first_season"].choices = [(each.year, each.name) for each in firsts]  # type: ignore[attr-defined]
        crops = [("", "–"), *_annual_groups()]
        for row in range(self.rows):
            self._add_row(row, crops)
        for row in range(self.place_rows):
            self._add_place(row, crops, pieces)
        for bed in beds:
            self.fields[f"strips_{bed.pk}"] = forms.IntegerField(
                label=bed.name, required=False, min_value=1, max_value=MOST_STRIPS, initial=1,
                error_messages={"invalid": "Write how many strips, as a whole number."},
            )  # fmt: skip

    def _add_row(self, row: int, crops: list[Any]) -> None:
        words = UNIT_WORDS[self.units]
        self.fields[f"crop_{row}"] = _choice(crops, f"Crop, row {row + 1}")
        self.fields[f"unit_{row}"] = _choice(list(words.items()), f"Measured in, row {row + 1}", AREA)
        self.fields[f"weight_{row}"] = _choice(list(WEIGHTS.items()), f"Matters, row {row + 1}", "1.0")
        for season in self.columns:
            field = MeasureField(label=f"Amount in {season.name}, row {row + 1}")
            field.widget.attrs["size"] = 5
            self.fields[f"amount_{row}_{season.year}"] = field

    def _add_place(self, row: int, crops: list[Any], pieces: Sequence[LayoutPiece]) -> None:
        strips = [(piece.key, piece.name) for piece in pieces if piece.strip]
        beds = [*((str(bed.pk), bed.name) for bed in self.beds), *strips]
        seasons = [("", "every season"), *((str(each.year), each.name) for each in self.columns)]
        self.fields[f"place_crop_{row}"] = _choice(crops, f"Crop, line {row + 1}")
        self.fields[f"place_piece_{row}"] = _choice([("", "–"), *beds], f"Bed, line {row + 1}")
        self.fields[f"place_kind_{row}"] = _choice(KINDS, f"What of it, line {row + 1}")
        self.fields[f"place_season_{row}"] = _choice(seasons, f"When, line {row + 1}")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for row in range(self.rows):
            amounts = [cleaned.get(f"amount_{row}_{season.year}") for season in self.columns]
            if any(amounts) and not cleaned.get(f"crop_{row}") and f"crop_{row}" not in self.errors:
                self.add_error(f"crop_{row}", "Choose the crop of these amounts, or empty them.")
            for season, amount in zip(self.columns, amounts, strict=True):
                if amount is not None and amount < 0:
                    self.add_error(
                        f"amount_{row}_{season.year}", "Write an amount above 0, or leave it empty."
                    )
        for row in range(self.place_rows):
            names = [f"place_crop_{row}", f"place_piece_{row}", f"place_kind_{row}"]
            given = [cleaned.get(name) for name in names]
            for name, value in zip(names, given, strict=True):
                if any(given) and not value and name not in self.errors:
                    self.add_error(name, "Choose here too, or leave the whole line empty.")
        return cleaned

    @property
    def wanted(self) -> Wanted:
        written = self.cleaned_data
        return Wanted(
            first_season=written["first_season"],
            seasons=written["seasons"],
            lines=tuple(self._lines()),
            places=tuple(self._places()),
            divisions={bed.pk: written.get(f"strips_{bed.pk}") or 1 for bed in self.beds},
        )

    def _lines(self) -> Iterator[WishLine]:
        written = self.cleaned_data
        last = written["first_season"] + written["seasons"] - 1
        for row in range(self.rows):
            if not written[f"crop_{row}"]:
                continue
            crop, in_rows = crop_of(written[f"crop_{row}"]), written[f"unit_{row}"] == ROWS
            amounts = {each.year: written[f"amount_{row}_{each.year}"] for each in self.columns}
            areas = {
                year: area_of(amount, crop=crop, in_rows=in_rows, units=self.units)
                for year, amount in self._stretched(amounts, written["first_season"], last).items()
                if amount
            }
            yield WishLine(crop.key, areas, in_rows, float(written[f"weight_{row}"]))

    def _stretched(self, amounts: dict[int, float | None], first: int, last: int) -> dict[int, float | None]:
        """A season that had no column yet has what the season before it has."""
        found, before = {}, amounts[self.columns[0].year]
        for year in range(first, last + 1):
            before = amounts.get(year, before)
            found[year] = before
        return found

    def _places(self) -> Iterator[PlaceLine]:
        written = self.cleaned_data
        for row in range(self.place_rows):
            if not written[f"place_crop_{row}"]:
                continue
            bed, _, strip = written[f"place_piece_{row}"].partition(".")
            season = written[f"place_season_{row}"]
            yield PlaceLine(
                written[f"place_crop_{row}"], int(bed), int(strip or 0), written[f"place_kind_{row}"],
                int(season) if season else None,
            )  # fmt: skip

    @property
    def wish_rows(self) -> list[WishRow]:
        return [
            WishRow(
                row + 1, self[f"crop_{row}"], self[f"unit_{row}"], self[f"weight_{row}"],
                [(each, self[f"amount_{row}_{each.year}"]) for each in self.columns],
            )
            for row in range(self.rows)
        ]  # fmt: skip

    @property
    def place_lines(self) -> list[PlaceRow]:
        return [
            PlaceRow(row + 1, *(self[f"place_{name}_{row}"] for name in ("crop", "piece", "kind", "season")))
            for row in range(self.place_rows)
        ]

    @property
    def strip_fields(self) -> list[forms.BoundField]:
        return [self[f"strips_{bed.pk}"] for bed in self.beds]


def _choice(choices: Sequence[Any], label: str, initial: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        choices=choices,
        label=label,
        initial=initial,
        required=bool(initial),
        error_messages={
            "required": "Choose one of the lines that are offered.",
            "invalid_choice": "Choose one of the lines that are offered.",
        },
    )


def _annual_groups() -> list[tuple[str, list[tuple[str, str]]]]:
    """What changes its ground every year; perennials are planned as sowings."""
    groups = [
        (name, [(key, said) for key, said in members if not crop_of(key).is_perennial])
        for name, members in crop_groups()
    ]
    return [(name, members) for name, members in groups if members]
