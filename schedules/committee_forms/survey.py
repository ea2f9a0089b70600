"""A plot laid out from its taped sides and diagonals."""

import re
from datetime import date
from typing import Any

from django import forms

from plots.surveying import Ends, Survey, SurveyFault, placed, survey
from schedules.committee_forms.bed_work import DegreesField
from schedules.committee_forms.entry import LookedAtForm, MetresField
from schedules.committee_forms.ground import PlotForm

MOST_LENGTHS = 45  # ten corners, each joined with each


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
