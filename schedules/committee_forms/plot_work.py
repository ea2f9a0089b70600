"""Land divided anew, looked at before it is kept: plots halved, merged, moved."""

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
from schedules.committee_forms.bed_work import DegreesField
from schedules.committee_forms.entry import (
    DayField,
    EntryForm,
    LookedAtForm,
    MetresField,
    version_field,
    words_field,
)
from schedules.committee_forms.tenancies import money_field


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
