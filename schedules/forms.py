"""What a grower tells of a job."""

from datetime import date, timedelta
from typing import Any

from django import forms

ISO = "%Y-%m-%d"
DAY_FIELDS = {"done": "done_on", "put_off": "put_off_until"}


class RecordForm(forms.Form):
    """Done on a day, not needed, or put off until a day; with the version of the job that was read."""

    outcome = forms.ChoiceField(
        choices=[("done", "Done"), ("not_needed", "Not needed"), ("put_off", "Put off")],
        error_messages={
            "required": "Say what became of the job: press Done, Put off or Not needed.",
            "invalid_choice": "Say what became of the job: press Done, Put off or Not needed.",
        },
    )
    version = forms.IntegerField(
        min_value=0,
        error_messages={
            "required": "The page was incomplete. Load it again, then record the job.",
            "invalid": "The page was incomplete. Load it again, then record the job.",
        },
    )
    done_on = forms.DateField(required=False, input_formats=[ISO], label="Done on")
    put_off_until = forms.DateField(required=False, input_formats=[ISO], label="Put off until")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        for name in DAY_FIELDS.values():
            typed = str(self.data.get(name, ""))[:40]
            self.fields[name].error_messages["invalid"] = (
                f"{self.fields[name].label}: “{typed}” is not a date. "
                f"Write year, month and day, like {self._example(name)}."
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        outcome = cleaned.get("outcome")
        needed = DAY_FIELDS.get(outcome or "")
        for name in DAY_FIELDS.values():  # what the other button would have sent does not count
            if name != needed:
                self.errors.pop(name, None)
        if needed and not cleaned.get(needed) and needed not in self.errors:
            label = self.fields[needed].label
            self.add_error(needed, f"{label}: the day is missing. Enter it, like {self._example(needed)}.")
        return cleaned

    def _example(self, name: str) -> str:
        """A day that the field would take: work is done by today and put off beyond it."""
        ahead = timedelta(days=1 if name == "put_off_until" else 0)
        return (self.today + ahead).isoformat()

    @property
    def day(self) -> date:
        """The day that goes with the outcome; for 'not needed' the day on which it was said."""
        name = DAY_FIELDS.get(self.cleaned_data["outcome"])
        return self.cleaned_data[name] if name else self.today

    def refuse_day(self, reasons: list[str]) -> None:
        """Hang a service's objection to the day on the field that it came from."""
        name = DAY_FIELDS.get(self.cleaned_data["outcome"])
        for reason in reasons:
            self.add_error(name, f"{self.fields[name].label}: {reason}." if name else reason)

    @property
    def faults(self) -> list[str]:
        """Every error once, in the order of the fields."""
        return [str(error) for errors in self.errors.values() for error in errors]
