"""The form that every page of the committee is built from.

A service's refusals come back at their fields. A save that somebody else was quicker than says what
changed, takes the new version, and leaves the choice to the reader: nothing is overwritten.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.datastructures import MultiValueDict

from society.changes import StaleRow

T = TypeVar("T")

# Hidden fields that hold what the reader saw.
SEEN = ("version", "level")


@dataclass(frozen=True, slots=True)
class ChangedMeanwhile:
    """One field that somebody else changed, and what stands there now."""

    label: str
    stands: str


class EntryForm(forms.Form):
    """A form that knows how its service calls things, and answers with a fitting status."""

    # Where a service names a field otherwise than the form does.
    at_field: ClassVar[Mapping[str, str]] = {}

    stale: tuple[ChangedMeanwhile, ...] | None = None
    with_ticks = False

    @property
    def status(self) -> int:
        """200 when only looked at, 409 when somebody was quicker, 422 when something is wrong."""
        if self.stale is not None:
            return 409
        return 422 if self.is_bound and self.errors else 200

    @property
    def wish(self) -> dict[str, Any]:
        """What the service is to be told."""
        return dict(self.cleaned_data)

    def call(self, service: Callable[..., T], **known: Any) -> T | None:
        """Call the service if the form is sound; None when it, or the service, refuses."""
        if not self.is_valid():
            return None
        try:
            return service(**known, **self.wish)
        except StaleRow as fault:
            self._take_stale(fault)
        except ValidationError as fault:
            self.refuse(fault)
        return None

    def refuse(self, fault: ValidationError) -> None:
        """Hang each sentence at the field it is about, or above the form where there is none."""
        if not hasattr(fault, "error_dict"):
            self.add_error(None, [_sentence(text) for text in fault.messages])
            return
        for name, texts in fault.message_dict.items():
            field = self._field_for(name)
            self.add_error(field, [_sentence(text) for text in texts])

    def _field_for(self, name: str) -> str | None:
        mapped = self.at_field.get(name, name)
        return mapped if mapped in self.fields and not self.fields[mapped].widget.is_hidden else None

    def _take_stale(self, fault: StaleRow) -> None:
        row: Any = fault.row
        self.stale = tuple(
            ChangedMeanwhile(self._label_of(name), self._value_of(row, name)) for name in fault.changed
        )
        fresh = {name: str(getattr(row, name)) for name in SEEN if name in self.fields and hasattr(row, name)}
        typed = (
            {name: self.data.getlist(name) for name in self.data}
            if isinstance(self.data, MultiValueDict)
            else {}
        )
        self.data = MultiValueDict({**typed, **{name: [value] for name, value in fresh.items()}})

    def _label_of(self, name: str) -> str:
        field = self.fields.get(self.at_field.get(name, name))
        return str(field.label) if field is not None and field.label else name.replace("_", " ")

    def _value_of(self, row: Any, name: str) -> str:
        value = getattr(row, name, None)
        if isinstance(value, date):
            return f"{value:%Y-%m-%d}"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list):
            return "; ".join(", ".join(f"{number:g}" for number in corner) for corner in value)
        return str(value) if value not in (None, "") else "nothing"


class LookedAtForm(EntryForm):
    """A form whose wish is shown before it is kept; what is kept is what was seen."""

    is_other_than_looked_at = False

    @property
    def status(self) -> int:
        return 409 if self.is_other_than_looked_at else super().status


class DayField(forms.DateField):
    """A date as browsers send it. A wrong one is quoted back with the way to write it."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        kwargs.setdefault(
            "error_messages",
            {
                "required": "The day is missing. Enter it, like 2027-04-12.",
                "invalid": "This is not a date. Write year, month and day, like 2027-04-12.",
            },
        )
        super().__init__(input_formats=["%Y-%m-%d"], **kwargs)


class MetresField(forms.FloatField):
    """A length in metres."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}))
        kwargs.setdefault(
            "error_messages",
            {
                "required": "The length is missing. Give metres, like 2.5.",
                "invalid": "This is not a length. Give metres, like 2.5.",
            },
        )
        super().__init__(**kwargs)


def version_field() -> forms.IntegerField:
    """The version that was read; without it the page was incomplete."""
    incomplete = "The page was incomplete. Load it again, then repeat."
    return forms.IntegerField(
        min_value=0,
        widget=forms.HiddenInput,
        error_messages={"required": incomplete, "invalid": incomplete, "min_value": incomplete},
    )


def words_field(label: str, *, most: int, missing: str, **kwargs: Any) -> forms.CharField:
    """A line of words with limits that are said in words."""
    return forms.CharField(
        label=label,
        max_length=most,
        error_messages={
            "required": missing,
            "max_length": f"Say it in {most} letters; these are %(show_value)d.",
        },
        **kwargs,
    )


def _sentence(text: str) -> str:
    """A service's half sentence as a whole one."""
    said = text[:1].upper() + text[1:]
    return said if said.endswith((".", "!", "?")) else f"{said}."
