"""What is done to beds, looked at before it is kept: laid out one by one or in rows, moved, split, joined."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, ClassVar

from django import forms

from plots.bed_drafts import BedPlan, Digging, beds_drafted, plan_like
from plots.bed_rows import EXAMPLE, BedRow, BedRowFault, bed_row_read, names_free, row_outlines
from plots.bed_shapes import CutFault, cut_along, cut_equal, joined, long_side
from plots.carrying import Carry, middle_of
from plots.models import Bed, BedKind, Plot, SoilKind
from plots.outlines import Corners
from plots.shapes import Rectangle, offset_faults, outline_of
from schedules.committee_forms.entry import DayField, LookedAtForm, MetresField, words_field
from schedules.committee_forms.ground import CORNERS_HELP, CornersField, corners_text

# A path between two beds that are joined becomes bed. Common practice, no published source.
WIDEST_JOINED_M = 1.0
MOST_PARTS = 12
DAY_LABEL = "From which day"


class DegreesField(forms.FloatField):
    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.NumberInput(attrs={"step": "any"}))
        invalid = "This is not an angle. Give degrees, like 15."
        super().__init__(error_messages={"invalid": invalid}, **kwargs)


class BedWork(LookedAtForm):
    """A wish for some beds of one plot. ``action`` is what the journal calls it."""

    at_field: ClassVar[dict[str, str]] = {}
    action: ClassVar[str] = "bed.closed"

    def __init__(self, *args: Any, plot: Plot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plot = plot
        self.wished: list[Corners] = []  # where the new beds would lie, also when they cannot

    @property
    def closing(self) -> Sequence[Bed]:
        return ()

    @property
    def closing_now(self) -> Sequence[Bed]:
        """The beds that it is about before anything is typed."""
        return ()

    def plans(self) -> list[BedPlan]:
        """The new beds; may raise ValidationError, CutFault or BedRowFault."""
        raise NotImplementedError

    def said(self) -> str:
        """How the wish was read, where it was typed in words."""
        return ""

    def drafted(self, now: datetime) -> Digging | None:
        """The wish judged; None where it is refused, with the reasons at their fields."""
        if not self.is_valid():
            return None
        try:
            plans = self.plans()
            self.wished = [plan.outline for plan in plans]
            return beds_drafted(
                plot=self.plot, closing=self.closing, plans=plans, on=self.cleaned_data["on"], now=now
            )
        except (CutFault, BedRowFault) as fault:
            self.refuse(forms.ValidationError({self.cut_field: [str(fault)]}))
        except forms.ValidationError as fault:
            self.refuse(fault)
        return None

    cut_field: ClassVar[str] = ""


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


class OneBedWork(BedWork):
    """Work on one bed that is there."""

    def __init__(self, *args: Any, bed: Bed, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today, **kwargs.get("initial", {})}
        super().__init__(*args, plot=bed.plot, **kwargs)
        self.bed = bed

    @property
    def closing(self) -> Sequence[Bed]:
        return (self.bed,)

    @property
    def closing_now(self) -> Sequence[Bed]:
        return (self.bed,)


class BedMoveForm(OneBedWork):
    action = "bed.moved"
    at_field = {"outline": "east_m", "beds": "east_m"}

    east_m = MetresField(label="Metres to the east", required=False, help_text="Less than nothing: west.")
    north_m = MetresField(label="Metres to the north", required=False, help_text="Less than nothing: south.")
    turn_deg = DegreesField(
        label="Turned anticlockwise about its middle, degrees", required=False, help_text="Empty: not turned."
    )
    on = DayField(label=DAY_LABEL)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not any(cleaned.get(name) for name in ("east_m", "north_m", "turn_deg")):
            self.add_error("east_m", "Give metres or degrees; now it would stay where it is.")
        return cleaned

    @property
    def carry(self) -> Carry:
        known = self.cleaned_data
        return Carry(known["east_m"] or 0.0, known["north_m"] or 0.0, known["turn_deg"] or 0.0)

    def plans(self) -> list[BedPlan]:
        return [plan_like(self.bed, self.carry.of(self.bed.outline, about=middle_of(self.bed.outline)))]


class BedReshapeForm(OneBedWork):
    """Other corners; a rectangle's length and width from its first corner are the usual case."""

    action = "bed.reshaped"
    at_field = {"outline": "corners", "beds": "corners"}

    length_m = MetresField(label="New length, m", required=False)
    width_m = MetresField(
        label="New width, m", required=False, help_text="From its first corner, along its first side."
    )
    corners = CornersField(label="Or its corners", required=False, help_text=CORNERS_HELP)
    on = DayField(label=DAY_LABEL)

    def __init__(self, *args: Any, bed: Bed, **kwargs: Any) -> None:
        super().__init__(*args, bed=bed, initial={"corners": corners_text(bed.outline)}, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        sides = [cleaned.get(name) for name in ("length_m", "width_m")]
        if any(sides) and not all(sides):
            self.add_error("width_m" if sides[0] else "length_m", "Give both length and width, in metres.")
        elif not any(sides) and not self.errors and cleaned.get("corners") in ("", [], self.bed.outline):
            self.add_error("length_m", "Give a length and a width, or other corners; now nothing changes.")
        return cleaned

    def plans(self) -> list[BedPlan]:
        known = self.cleaned_data
        if known["length_m"]:
            outline_of(Rectangle(0, 0, known["length_m"], known["width_m"]))
            row = BedRow(1, known["length_m"], known["width_m"], 0.0)
            outline = row_outlines(
                self.bed.outline, row, along_m=0.0, across_m=0.0, stands_away=False, turn_deg=0.0
            )[0]
        else:
            outline = outline_of(known["corners"])
        return [plan_like(self.bed, outline)]


class BedSplitForm(OneBedWork):
    action = "bed.split"
    at_field = {"outline": "parts", "beds": "parts"}
    cut_field = "at_m"

    parts = forms.IntegerField(
        label="Into how many equal parts along its length",
        required=False,
        min_value=2,
        max_value=MOST_PARTS,
        error_messages={
            "invalid": f"Give a whole number from 2 to {MOST_PARTS}.",
            "min_value": f"Give a whole number from 2 to {MOST_PARTS}.",
            "max_value": f"Give a whole number from 2 to {MOST_PARTS}.",
        },
    )
    at_m = MetresField(label="Or in two, so many metres along its length", required=False)
    on = DayField(label=DAY_LABEL)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and (cleaned.get("parts") is None) == (cleaned.get("at_m") is None):
            self.add_error("parts", "Give either a number of parts or a distance, not both.")
        return cleaned

    def plans(self) -> list[BedPlan]:
        side, known = long_side(self.bed.outline), self.cleaned_data
        if known["at_m"] is not None:
            pieces: Sequence[Corners] = cut_along(self.bed.outline, side, known["at_m"])
        else:
            pieces = cut_equal(self.bed.outline, side, known["parts"])
        letters = "abcdefghijkl"
        longest = (Bed._meta.get_field("name").max_length or 0) - 1
        return [
            plan_like(self.bed, piece, name=f"{self.bed.name[:longest]}{letter}")
            for letter, piece in zip(letters, pieces, strict=False)
        ]


class BedJoinForm(OneBedWork):
    action = "bed.joined"
    at_field = {"outline": "other", "beds": "other"}
    cut_field = "other"

    other = forms.TypedChoiceField(
        label="With which bed",
        coerce=int,
        error_messages={
            "required": "Choose the bed that it is joined with.",
            "invalid_choice": "That bed is gone or closed; choose another.",
        },
        help_text="The path between the two becomes bed as well.",
    )
    on = DayField(label=DAY_LABEL)

    def __init__(self, *args: Any, beds: Sequence[Bed], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.others = {bed.pk: bed for bed in beds if bed.pk != self.bed.pk and bed.kind == self.bed.kind}
        field: Any = self.fields["other"]
        field.choices = [("", "choose one"), *((pk, bed.name) for pk, bed in self.others.items())]

    @property
    def closing(self) -> Sequence[Bed]:
        return (self.bed, self.others[self.cleaned_data["other"]])

    def plans(self) -> list[BedPlan]:
        one, other = self.closing
        try:
            outline = joined(one.outline, other.outline, reach_m=WIDEST_JOINED_M)
        except CutFault as fault:
            raise CutFault(
                f"{one.name} and {other.name} cannot be one bed: {fault}. Beds are joined along a side, over "
                f"a path of up to {WIDEST_JOINED_M:g} m"
            ) from None
        return [plan_like(one, outline)]


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
