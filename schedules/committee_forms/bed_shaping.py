"""One bed moved, turned, reshaped, split or joined with another."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from plots.bed_drafts import BedPlan, plan_like
from plots.bed_rows import BedRow, row_outlines
from plots.bed_shapes import CutFault, cut_along, cut_equal, joined, long_side
from plots.carrying import Carry, middle_of
from plots.models import Bed
from plots.outlines import Corners
from plots.shapes import Rectangle, outline_of
from schedules.committee_forms.bed_work import BedWork, DegreesField
from schedules.committee_forms.entry import DayField, MetresField
from schedules.committee_forms.ground import CORNERS_HELP, CornersField, corners_text

# A path between two beds that are joined becomes bed. Common practice, no published source.
WIDEST_JOINED_M = 1.0
MOST_PARTS = 12
DAY_LABEL = "From which day"


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
