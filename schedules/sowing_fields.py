"""The lines of the growers' forms: measures, days, covers, and where an objection is written."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.template.defaultfilters import capfirst

from plots.models import Sowing
from plots.sowing_wishes import COVERS

ISO = "%Y-%m-%d"
COVER_WORDS = {
    "none": "no cover",
    "clear": "a clear sheet, to warm the ground",
    "black": "a black sheet, to warm the ground",
    "fleece": "fleece",
    "film": "perforated film",
    "mesh": "fine mesh",
}
NOT_OFFERED = "Choose one of the lines that are offered."
# Where a service's objection belongs on the form, when the names differ.
HOMES = {
    "length_m": "length",
    "width_m": "width",
    "along_m": "along",
    "across_m": "across",
    "outline": "place",
}


class MeasureField(forms.FloatField):
    """Metres, or feet for those who read feet; a comma serves as a point."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.TextInput(attrs={"inputmode": "decimal"}), required=False, **kwargs)

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # a float field, whole or not
        text = str(value or "").strip().replace(",", ".")
        try:
            return super().to_python(text)
        except ValidationError:
            raise ValidationError(f"“{text[:20]}” is no measure; write a figure like 1.2.") from None


class DayField(forms.DateField):
    """A day as the browser sends it."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateInput(format=ISO, attrs={"type": "date"})
        super().__init__(input_formats=[ISO], widget=widget, required=False, **kwargs)

    def to_python(self, value: Any) -> date | None:
        try:
            return super().to_python(value)
        except ValidationError:
            raise ValidationError(
                f"“{str(value)[:20]}” is no date; write year, month and day, like 2027-04-12."
            ) from None


class ObjectionsForm(forms.Form):
    """A form that can carry what a service objects to, at the field that it is about."""

    def take(self, fault: ValidationError) -> None:
        for name, messages in fault.message_dict.items():
            home = self.home_of(name)
            for message in messages:
                self.add_error(home if home in self.fields else None, f"{capfirst(message)}.")

    def home_of(self, name: str) -> str:
        return HOMES.get(name, name)

    def drop(self, names: Sequence[str]) -> None:
        """Leave out of account what belongs to a choice that was not taken."""
        for name in names:
            self.errors.pop(name, None)
            self.cleaned_data[name] = None


class DaysForm(ObjectionsForm):
    """When: as soon as the ground is fit, or on a day."""

    when = forms.ChoiceField(
        choices=[("fit", "as soon as the ground is fit"), ("day", "on a day that I choose")],
        initial="fit",
        error_messages={"required": NOT_OFFERED, "invalid_choice": NOT_OFFERED},
    )
    not_before = DayField(label="but not before")
    sow_on = DayField(label="on")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("when") == "day":
            self.drop(["not_before"])
            if not cleaned.get("sow_on") and "sow_on" not in self.errors:
                self.add_error("sow_on", "The day is missing; enter it, or let the ground decide.")
        elif cleaned.get("when") == "fit":
            self.drop(["sow_on"])
        return cleaned

    def home_of(self, name: str) -> str:
        """The season follows from the day, so what is wrong with it is written there."""
        if name == "season":
            return "sow_on" if self.data.get("when") == "day" else "not_before"
        return super().home_of(name)

    @property
    def day(self) -> date | None:
        return self.cleaned_data["sow_on"] or self.cleaned_data["not_before"]


def cover_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Cover",
        choices=[(cover, COVER_WORDS[cover]) for cover in COVERS],
        initial="none",
        error_messages={"required": NOT_OFFERED, "invalid_choice": NOT_OFFERED},
    )


def variety_field() -> forms.CharField:
    return forms.CharField(
        label="Variety, if you like",
        required=False,
        max_length=Sowing._meta.get_field("variety").max_length,
        error_messages={"max_length": "A variety’s name has at most %(limit_value)d letters; shorten it."},
    )


def version_field() -> forms.IntegerField:
    """Which state of the row the page showed; a stale one is refused by the service."""
    incomplete = "The page was incomplete. Load it again, then repeat what you wrote."
    return forms.IntegerField(
        min_value=0,
        widget=forms.HiddenInput,
        error_messages={"required": incomplete, "invalid": incomplete, "min_value": incomplete},
    )
