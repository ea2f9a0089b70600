"""Plots and beds, as rectangles or corner by corner."""

import re
from datetime import date
from typing import Any

from django import forms

from plots.bed_checks import StandsThere, standing_words
from plots.models import Bed, BedKind, Plot, SoilKind
from plots.outlines import Corners
from plots.shapes import Rectangle
from plots.verdict_services import LONGEST_REASON, SHORTEST_REASON
from schedules.committee_forms.entry import DayField, EntryForm, MetresField, version_field, words_field

CORNERS_HELP = "One corner a line, metres east and metres north of the site’s corner, like: 12.5, 40"


class CornersField(forms.CharField):
    """Corners of a piece of ground, one a line."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={"rows": 5}), max_length=8000, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        corners: Corners = []
        for number, line in enumerate(filter(None, map(str.strip, text.splitlines())), start=1):
            parts = [part for part in re.split(r"[,;\s]+", line) if part]
            try:
                east, north = (float(part) for part in parts)
            except ValueError:
                raise forms.ValidationError(
                    f"Corner {number}, “{line[:40]}”, is not two numbers. "
                    "Write metres east and metres north, like: 12.5, 40"
                ) from None
            corners.append([east, north])
        return corners


def corners_text(outline: Corners) -> str:
    return "\n".join(f"{east:g}, {north:g}" for east, north in outline)


class PlotForm(EntryForm):
    """A plot, as a rectangle or by its corners."""

    at_field = {"outline": "corners"}

    number = words_field("Number", most=12, missing="Enter the plot’s number.")
    laid_out_on = DayField(label="Laid out on")
    record_since = forms.IntegerField(
        label="First season of which everything grown is on record",
        required=False,
        min_value=1800,
        max_value=2200,
        help_text="A year; empty where the record has gaps. Ground with no record does not count as rested.",
    )
    length_m = MetresField(label="Length, m", required=False)
    width_m = MetresField(label="Width, m", required=False)
    x_m = MetresField(label="Its first corner, metres east of the site’s corner", required=False)
    y_m = MetresField(label="Its first corner, metres north of the site’s corner", required=False)
    angle_deg = forms.FloatField(
        label="Turned anticlockwise from east, degrees",
        required=False,
        widget=forms.NumberInput(attrs={"step": "any"}),
    )
    corners = CornersField(
        label="Or, instead of a rectangle, its corners", required=False, help_text=CORNERS_HELP
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"laid_out_on": today, "angle_deg": 0})
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("corners") and "corners" not in self.errors:
            for name in ("length_m", "width_m", "x_m", "y_m"):
                if cleaned.get(name) is None and name not in self.errors:
                    self.add_error(name, "Give metres, like 2.5, or give the corners below instead.")
        return cleaned

    @property
    def wish(self) -> dict[str, Any]:
        known = self.cleaned_data
        sides = Rectangle(
            known["x_m"] or 0.0,
            known["y_m"] or 0.0,
            known["length_m"] or 0.0,
            known["width_m"] or 0.0,
            known["angle_deg"] or 0.0,
        )
        return {
            "number": known["number"],
            "laid_out_on": known["laid_out_on"],
            "record_since": known["record_since"],
            "shape": known["corners"] or sides,
        }


class PlotChangeForm(EntryForm):
    at_field = {"outline": "corners"}

    number = PlotForm.base_fields["number"]
    laid_out_on = PlotForm.base_fields["laid_out_on"]
    record_since = PlotForm.base_fields["record_since"]
    corners = CornersField(
        label="Corners",
        help_text=CORNERS_HELP,
        error_messages={"required": "A plot has at least three corners; give them."},
    )
    version = version_field()

    def __init__(self, *args: Any, plot: Plot, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "number": plot.number,
            "laid_out_on": plot.laid_out_on,
            "record_since": plot.record_since,
            "corners": corners_text(plot.outline),
            "version": plot.version,
        }
        super().__init__(*args, **kwargs)

    @property
    def wish(self) -> dict[str, Any]:
        known = dict(self.cleaned_data)
        corners = known.pop("corners")
        return {**known, "shape": corners} if "corners" in self.changed_data else known


class BedChangeForm(EntryForm):
    """What was entered wrong of a bed. What stands there is asked about before its ground or kind changes."""

    at_field = {"outline": "corners"}

    name = words_field("Name", most=40, missing="Enter the bed’s name, like bed 3.")
    kind = forms.ChoiceField(label="Kind", choices=BedKind.choices)
    height_m = MetresField(
        label="Height above the ground, m", required=False, help_text="For raised beds and containers."
    )
    soil = forms.ChoiceField(
        label="Soil", required=False, choices=[("", "as on the rest of the site"), *SoilKind.choices]
    )
    corners = CornersField(
        label="Corners",
        help_text=CORNERS_HELP,
        error_messages={"required": "A bed has at least three corners; give them."},
    )
    version = version_field()
    standing_seen = forms.CharField(required=False, widget=forms.HiddenInput, max_length=2000)

    has_asked = False

    def __init__(self, *args: Any, bed: Bed, **kwargs: Any) -> None:
        fields = ("name", "kind", "height_m", "soil", "version")
        kwargs["initial"] = {name: getattr(bed, name) for name in fields} | {
            "corners": corners_text(bed.outline)
        }
        super().__init__(*args, **kwargs)

    @property
    def wish(self) -> dict[str, Any]:
        known = dict(self.cleaned_data)
        known["height_m"] = known["height_m"] or 0.0
        seen = known.pop("standing_seen").split(",")
        known["standing_seen"] = [int(each) for each in seen if each.isdecimal()]
        corners = known.pop("corners")
        return {**known, "shape": corners} if "corners" in self.changed_data else known

    def refuse(self, fault: forms.ValidationError) -> None:
        """Show what stands there; sending the page again says that it was read."""
        if not isinstance(fault, StandsThere):
            return super().refuse(fault)
        self.has_asked = True
        seen = ",".join(str(row.pk) for row in fault.standing)
        self.data = {**{name: self.data[name] for name in self.data}, "standing_seen": seen}
        self.add_error(None, [f"{standing_words(row)}, and stays where it is." for row in fault.standing])
        return None


class EndVersionForm(EntryForm):
    """The day on which a plot or a bed ends, with the version that was read."""

    on = DayField(label="On which day")
    version = version_field()

    def __init__(self, *args: Any, version: int, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today, "version": version}
        super().__init__(*args, **kwargs)


class OverruleForm(EntryForm):
    """Why a sowing is allowed on ground that has not rested."""

    reason = words_field(
        "Why the committee allows it",
        most=LONGEST_REASON,
        missing=f"Give the reason, in {SHORTEST_REASON} letters or more.",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="It stays beside the warning for all who work the plot. Write no names.",
    )
    level = forms.CharField(widget=forms.HiddenInput)

    @property
    def wish(self) -> dict[str, Any]:
        return {"reason": self.cleaned_data["reason"], "level_seen": self.cleaned_data["level"]}
