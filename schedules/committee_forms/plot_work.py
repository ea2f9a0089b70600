"""Land divided anew, looked at before it is kept: plots halved, merged, moved, taped."""

import re
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from plots.bed_shapes import CutFault, cut_along, cut_equal, side_length
from plots.carrying import Carry
from plots.measures import length_words
from plots.models import Plot
from plots.placing import side_winds
from plots.plot_drafts import Parting, halves_drafted, merged_drafted
from plots.surveying import Ends, Survey, SurveyFault, placed, survey
from schedules.committee_forms.bed_work import DegreesField
from schedules.committee_forms.entry import (
    DayField,
    EntryForm,
    LookedAtForm,
    MetresField,
    version_field,
    words_field,
)
from schedules.committee_forms.ground import PlotForm
from schedules.committee_forms.tenancies import money_field

MOST_LENGTHS = 45  # ten corners, each joined with each


class PartingForm(LookedAtForm):
    """A wish to divide land anew."""

    cut_field: ClassVar[str] = ""

    def drafted(self, now: datetime) -> Parting | None:
        """The wish judged; None where it is refused, with the reasons at their fields."""
        if not self.is_valid():
            return None
        try:
            return self.draft(now)
        except CutFault as fault:
            self.refuse(forms.ValidationError({self.cut_field: [str(fault)]}))
        except forms.ValidationError as fault:
            self.refuse(fault)
        return None

    def draft(self, now: datetime) -> Parting:
        raise NotImplementedError


class HalveForm(PartingForm):
    """One plot in two, by a line square to one of its sides."""

    at_field = {"number": "first", "plot": "on", "outline": "at_m"}
    cut_field = "at_m"

    side = forms.TypedChoiceField(
        label="The line stands square on",
        coerce=int,
        error_messages={"invalid_choice": "Choose one of the sides that are offered."},
    )
    at_m = MetresField(
        label="So many metres from where that side begins",
        required=False,
        help_text="Empty: where it makes two halves of equal area.",
    )
    first = words_field("Number of the part where that side begins", most=12, missing="Enter a number.")
    second = words_field("Number of the other part", most=12, missing="Enter a number.")
    keeper = forms.TypedChoiceField(
        label="Whoever holds it goes on with",
        required=False,
        coerce=int,
        empty_value=None,
        choices=[("", "choose one"), (0, "the part where that side begins"), (1, "the other part")],
        error_messages={"invalid_choice": "Choose one of the two parts."},
        help_text="Helpers go along, and so do the terms that were agreed.",
    )
    rent_due = money_field("Rent due from then on")
    on = DayField(label="From which day")

    def __init__(self, *args: Any, plot: Plot, is_held: bool, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "on": today, "first": f"{plot.number[:11]}a", "second": f"{plot.number[:11]}b"
        }  # fmt: skip
        super().__init__(*args, **kwargs)
        self.plot = plot
        field: Any = self.fields["side"]
        winds = side_winds(plot.outline)
        field.choices = [
            (
                number,
                f"{wind} side, {length_words(side_length(plot.outline, number))}, from its {start} end",
            )
            for number, (wind, start) in enumerate(winds)
        ]
        self.fields["rent_due"].help_text = "Empty: as it was agreed."
        if not is_held:
            del self.fields["keeper"], self.fields["rent_due"]

    @property
    def division(self) -> dict[str, Any]:
        """What the service is told of the wish."""
        known = self.cleaned_data
        outline, side = self.plot.outline, known["side"]
        at_m = known["at_m"]
        halves = cut_equal(outline, side) if at_m is None else cut_along(outline, side, at_m)
        return {
            "plot": self.plot, "outlines": halves, "numbers": [known["first"], known["second"]],
            "keeper": known.get("keeper"), "on": known["on"],
        }  # fmt: skip

    @property
    def rent(self) -> Decimal | None:
        return self.cleaned_data.get("rent_due")

    def draft(self, now: datetime) -> Parting:
        return halves_drafted(**self.division, now=now)


class MergeForm(PartingForm):
    """Two adjoining plots as one."""

    at_field = {"plot": "other", "outline": "other", "at_m": "other", "keeper": "other"}

    other = forms.TypedChoiceField(
        label="With which plot",
        coerce=int,
        error_messages={
            "required": "Choose the plot beside it.",
            "invalid_choice": "That plot is given up or lies elsewhere; choose another.",
        },
    )
    number = words_field("Number of the new plot", most=12, missing="Enter a number.")
    rent_due = money_field("Rent due from then on, if somebody holds them")
    on = DayField(label="From which day")

    def __init__(self, *args: Any, plot: Plot, others: Sequence[Plot], today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today}
        super().__init__(*args, **kwargs)
        self.plot, self.others = plot, {other.pk: other for other in others}
        self.fields["rent_due"].help_text = "Empty: what was agreed for both together."
        field: Any = self.fields["other"]
        field.choices = [("", "choose one"), *((other.pk, f"plot {other.number}") for other in others)]

    @property
    def division(self) -> dict[str, Any]:
        known = self.cleaned_data
        plots = [self.plot, self.others[known["other"]]]
        return {"plots": plots, "number": known["number"], "on": known["on"]}

    @property
    def rent(self) -> Decimal | None:
        return self.cleaned_data["rent_due"]

    def draft(self, now: datetime) -> Parting:
        return merged_drafted(**self.division, now=now)


class PlotCarryForm(EntryForm):
    """A plot that was entered in the wrong place."""

    at_field = {"outline": "east_m", "plot": "east_m"}

    east_m = MetresField(label="Metres to the east", required=False, help_text="Less than nothing: west.")
    north_m = MetresField(label="Metres to the north", required=False, help_text="Less than nothing: south.")
    turn_deg = DegreesField(label="Turned anticlockwise about its middle, degrees", required=False)
    version = version_field()

    def __init__(self, *args: Any, plot: Plot, **kwargs: Any) -> None:
        kwargs["initial"] = {"version": plot.version}
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not any(cleaned.get(name) for name in ("east_m", "north_m", "turn_deg")):
            self.add_error("east_m", "Give metres or degrees; now it would stay where it is.")
        return cleaned

    @property
    def wish(self) -> dict[str, Any]:
        known = self.cleaned_data
        carry = Carry(known["east_m"] or 0.0, known["north_m"] or 0.0, known["turn_deg"] or 0.0)
        return {"carry": carry, "version": known["version"]}


class LengthsField(forms.CharField):
    """Taped lengths, one a line: between which two corners, and the metres."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={"rows": 8}), max_length=4000, **kwargs)

    def clean(self, value: Any) -> Any:
        lengths: dict[Ends, float] = {}
        lines = list(filter(None, map(str.strip, super().clean(value).splitlines())))
        if len(lines) > MOST_LENGTHS:
            raise forms.ValidationError(f"{len(lines)} lengths are too many; give up to {MOST_LENGTHS}.")
        for number, line in enumerate(lines, start=1):
            found = re.fullmatch(
                r"(\d{1,2})\s*(?:-|–|to|\s)\s*(\d{1,2})\s*[:=;\s]\s*(\d+(?:[.,]\d+)?)\s*m?", line
            )
            if found is None:
                raise forms.ValidationError(
                    f"Line {number}, “{line[:40]}”, is not two corners and a length. Write: 1-2 20.15"
                )
            one, other = int(found[1]), int(found[2])
            ends = (min(one, other), max(one, other))
            if ends in lengths:
                raise forms.ValidationError(
                    f"Line {number}: the length {one}-{other} stands twice; leave one out."
                )
            lengths[ends] = float(found[3].replace(",", "."))
        return lengths


class SurveyForm(LookedAtForm):
    """A plot of any form, from its taped sides and one diagonal or more."""

    at_field = {"outline": "lengths"}

    number = PlotForm.base_fields["number"]
    laid_out_on = PlotForm.base_fields["laid_out_on"]
    record_since = PlotForm.base_fields["record_since"]
    lengths = LengthsField(
        label="Taped lengths, one a line",
        help_text="Number the corners as you walk round: 1, 2, 3 … Give every side, like 1-2 20.15, and for "
        "four corners one diagonal, like 1-3 21.60; one more checks the others.",
        error_messages={"required": "Give the sides and a diagonal, like: 1-2 20.15"},
    )
    walked = forms.ChoiceField(
        label="Walking round it, the ground lay",
        choices=[("left", "on the left hand"), ("right", "on the right hand")],
        initial="left",
    )
    x_m = MetresField(label="Corner 1, metres east of the site’s corner")
    y_m = MetresField(label="Corner 1, metres north of the site’s corner")
    angle_deg = DegreesField(
        label="Direction from corner 1 to corner 2, degrees anticlockwise from east",
        help_text="0 runs east, 90 north; less than nothing turns the other way.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"laid_out_on": today, "angle_deg": 0}
        super().__init__(*args, **kwargs)

    def surveyed(self) -> Survey | None:
        """The corners as they fit the lengths best; None where they make no ground, with the reason."""
        if not self.is_valid():
            return None
        lengths = self.cleaned_data["lengths"]
        count = max(max(ends) for ends in lengths)
        try:
            return survey(count, lengths, clockwise=self.cleaned_data["walked"] == "right")
        except SurveyFault as fault:
            self.refuse(forms.ValidationError({"lengths": [str(fault)]}))
        return None

    def outline(self, found: Survey) -> list[list[float]]:
        known = self.cleaned_data
        return placed(found.corners, corner=(known["x_m"], known["y_m"]), angle_deg=known["angle_deg"])

    @property
    def plot_wish(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("number", "laid_out_on", "record_since")}
