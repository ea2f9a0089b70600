"""What a member reads off the instruments of a day, in the measures that they read."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from schedules.committee_forms.entry import DayField, EntryForm
from schedules.planner.sentences.wording import Units
from schedules.reading_checks import FARTHEST_BACK, AskAgain, ReadingWish
from schedules.reading_words import as_read, to_metric, unit_of

INSTRUMENTS = {
    "tmin_c": "Lowest of the day, {unit}",
    "tmax_c": "Highest of the day, {unit}",
    "rain_mm": "Rain gauge, {unit}",
    "soil_c": "Soil thermometer, {unit}",
}
USUAL_DEPTH_MM = 100


NO_FIGURE = "This is no figure; write one like 4.5, without its unit."


class FigureField(forms.FloatField):
    """A figure as people write it: a comma serves as a point, a long minus as a short one."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            widget=forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off"}),
            required=False,
            error_messages={"invalid": NO_FIGURE},
            **kwargs,
        )

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # a float field, whole or not
        text = str(value or "").strip().replace(",", ".").replace("−", "-").replace("–", "-")
        try:
            return super().to_python(text)
        except ValidationError:
            raise ValidationError(
                f"“{text[:20]}” is no figure; write one like 4.5, without its unit."
            ) from None


class ReadingForm(EntryForm):
    """One day's readings; any of them may be left out. ``sure`` shows up once something was asked about."""

    day = DayField(label="Day")
    tmin_c = FigureField()
    tmax_c = FigureField()
    rain_mm = FigureField(help_text="What fell until nine in the morning belongs to the day before.")
    soil_c = FigureField(help_text="Best read about nine in the morning, in bare ground.")
    depth_mm = FigureField()
    hour = forms.TypedChoiceField(
        label="Soil read at, if you noted it",
        required=False,
        coerce=int,
        empty_value=None,
        choices=[("", "not noted"), *((str(hour), f"{hour:02}:00") for hour in range(24))],
        error_messages={"invalid_choice": "Choose one of the hours that are offered."},
    )
    sure = forms.BooleanField(label="I have looked again; it is so", required=False)

    def __init__(self, *args: Any, units: Units, today: date, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"day": today, "depth_mm": as_read("depth_mm", USUAL_DEPTH_MM, units)})
        super().__init__(*args, **kwargs)
        self.units = units
        for name, words in INSTRUMENTS.items():
            self.fields[name].label = words.format(unit=unit_of(name, units))
        self.fields["depth_mm"].label = f"Soil read at a depth of, {unit_of('depth_mm', units)}"
        self.fields["day"].widget.attrs |= {
            "max": today.isoformat(),
            "min": (today - FARTHEST_BACK).isoformat(),
        }
        self._sure = self.fields.pop("sure")
        if self.data.get("sure"):
            self.fields["sure"] = self._sure

    def refuse(self, fault: ValidationError) -> None:
        super().refuse(fault)
        if isinstance(fault, AskAgain):
            self.fields["sure"] = self._sure

    @property
    def is_sure(self) -> bool:
        return bool(self.cleaned_data.get("sure"))

    @property
    def wish(self) -> dict[str, Any]:
        known = self.cleaned_data
        depth = known["depth_mm"]
        reading = ReadingWish(
            day=known["day"],
            values={
                name: round(to_metric(name, known[name], self.units), 2)
                for name in INSTRUMENTS
                if known[name] is not None
            },
            depth_mm=None if depth is None else round(to_metric("depth_mm", depth, self.units)),
            hour=known["hour"],
        )
        return {"wish": reading, "is_sure": self.is_sure, "units": self.units}
