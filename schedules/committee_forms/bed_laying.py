"""Beds laid out: one by its corner, sides and angle, a row in one line, and a row in the stead of others."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from plots.bed_drafts import BedPlan
from plots.bed_rows import EXAMPLE, BedRow, bed_row_read, names_free, row_outlines
from plots.models import Bed, BedKind, Plot, SoilKind
from plots.outlines import Corners
from plots.shapes import Rectangle, offset_faults, outline_of
from schedules.committee_forms.bed_work import BedWork, DegreesField
from schedules.committee_forms.entry import DayField, MetresField, words_field


class KindFields(forms.Form):
    kind = forms.ChoiceField(label="Kind", choices=BedKind.choices, initial=BedKind.OPEN)
    height_m = MetresField(
        label="Height above the ground, m", required=False, help_text="For raised beds and containers."
    )
    soil = forms.ChoiceField(
        label="Soil", required=False, choices=[("", "as on the rest of the site"), *SoilKind.choices]
    )

    def kind_wish(self) -> dict[str, Any]:
        known = self.cleaned_data
        return {"kind": known["kind"], "height_m": known["height_m"] or 0.0, "soil": known["soil"]}


class GridFields(forms.Form):
    """A place on the plot's own grid."""

    along_m = MetresField(label="From the plot’s first corner along its first side, m")
    across_m = MetresField(label="From that side into the plot, m")
    turn_deg = DegreesField(
        label="Turned anticlockwise against that side, degrees",
        required=False,
        help_text="About that corner of the bed; empty for not at all.",
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        known = {name: cleaned.get(name) or 0.0 for name in ("along_m", "across_m")}
        for name, texts in offset_faults(**known).items():
            if name not in self.errors:
                self.add_error(name, [f"{text[:1].upper()}{text[1:]}." for text in texts])
        return cleaned


class BedAddForm(BedWork, KindFields, GridFields):
    """One bed by its corner, length, width and angle."""

    at_field = {"outline": "length_m", "since": "on", "beds": "length_m"}

    name = words_field("Name", most=40, missing="Enter the bed’s name, like bed 3.")
    length_m = MetresField(label="Length, m")
    width_m = MetresField(label="Width, m")
    on = DayField(label="Laid out on")

    field_order = ["name", "length_m", "width_m", "along_m", "across_m", "turn_deg", "on", "kind"]

    def __init__(self, *args: Any, plot: Plot, today: date, taken: Sequence[str], **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today, "along_m": 0, "across_m": 0, "name": names_free(1, taken)[0]}
        super().__init__(*args, plot=plot, **kwargs)

    def plans(self) -> list[BedPlan]:
        known = self.cleaned_data
        outline_of(Rectangle(0, 0, known["length_m"], known["width_m"]))
        row = BedRow(1, known["length_m"], known["width_m"], 0.0)
        outline = _on_grid(self.plot, row, known)[0]
        return [BedPlan(known["name"], outline, **self.kind_wish())]


class RowFields(GridFields):
    row = forms.CharField(
        label="Beds and paths",
        max_length=400,
        help_text=f"In one line, like: {EXAMPLE}. Or in feet: 4 beds of 4 x 16 ft, paths 18 in.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": EXAMPLE}),
        error_messages={
            "required": f"Type how many beds there are to be. Write it like: {EXAMPLE}.",
            "max_length": "Say it in 200 letters; these are %(show_value)d.",
        },
    )
    lies = forms.ChoiceField(
        label="The beds",
        choices=[("away", "reach away from the plot’s first side"), ("along", "lie along it")],
        initial="away",
    )

    def row_read(self) -> BedRow:
        return bed_row_read(self.cleaned_data["row"])


class BedRowForm(BedWork, KindFields, RowFields):
    """A row of equal beds in one line."""

    at_field = {"beds": "row", "outline": "row", "name": "names", "since": "on"}
    cut_field = "row"

    names = forms.CharField(
        label="Their names",
        required=False,
        max_length=2000,
        help_text="Parted by commas. Empty: the lowest free numbers, like bed 1, bed 2.",
    )
    on = DayField(label="Laid out on")

    field_order = ["row", "lies", "along_m", "across_m", "turn_deg", "names", "on", "kind"]

    def __init__(self, *args: Any, plot: Plot, today: date, taken: Sequence[str], **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today, "along_m": 0, "across_m": 0}
        super().__init__(*args, plot=plot, **kwargs)
        self.taken = taken

    def plans(self) -> list[BedPlan]:
        row = self.row_read()
        outlines = _on_grid(self.plot, row, self.cleaned_data)
        names = _names(self.cleaned_data["names"], row.count, self.taken)
        wish = self.kind_wish()
        return [BedPlan(name, outline, **wish) for name, outline in zip(names, outlines, strict=True)]

    def said(self) -> str:
        return self.row_read().words


class BedsAgainForm(BedRowForm):
    """Several beds closed on a day, and a row of others laid out in their stead."""

    action = "bed.dug_anew"
    at_field = {**BedRowForm.at_field, "beds": "closed"}

    closed = forms.TypedMultipleChoiceField(
        label="Beds that close on that day",
        help_text="Containers are moved, or closed, on their own pages.",
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose the beds that are dug over.",
            "invalid_choice": "One of these beds is gone or closed; choose again.",
        },
    )

    field_order = ["closed", "row", "lies", "along_m", "across_m", "turn_deg", "names", "on", "kind"]

    def __init__(self, *args: Any, plot: Plot, beds: Sequence[Bed], today: date, **kwargs: Any) -> None:
        super().__init__(*args, plot=plot, today=today, taken=(), **kwargs)
        self.beds = [bed for bed in beds if bed.kind != BedKind.CONTAINER]
        self.fields["on"].label = "Dug over on"
        field: Any = self.fields["closed"]
        field.choices = [(bed.pk, bed.name) for bed in self.beds]
        self.every = beds

    @property
    def closing(self) -> Sequence[Bed]:
        return [bed for bed in self.beds if bed.pk in self.cleaned_data["closed"]]

    def plans(self) -> list[BedPlan]:
        self.taken = [bed.name for bed in self.every if bed.pk not in self.cleaned_data["closed"]]
        return super().plans()


def _on_grid(plot: Plot, row: BedRow, known: dict[str, Any]) -> list[Corners]:
    return row_outlines(
        plot.outline,
        row,
        along_m=known["along_m"],
        across_m=known["across_m"],
        stands_away=known.get("lies") == "away",
        turn_deg=known["turn_deg"] or 0.0,
    )


def _names(typed: str, count: int, taken: Sequence[str]) -> list[str]:
    names = [name for name in (" ".join(each.split()) for each in typed.split(",")) if name]
    if not names:
        return names_free(count, taken)
    if len(names) != count:
        raise forms.ValidationError(
            {"name": f"these are {len(names)} names for {count} beds; give {count}, or leave it empty"}
        )
    return names
