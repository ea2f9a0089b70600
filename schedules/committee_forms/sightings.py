"""What the committee decides on a problem that was seen."""

from typing import Any

from django import forms

from plots.sighting_services import LONGEST_NOTE, SHORTEST_REASON
from schedules.committee_forms.entry import EntryForm, version_field, words_field


class SightingButton(EntryForm):
    """A single button: only the version that was read."""

    version = version_field()


class TellForm(SightingButton):
    tell = forms.TypedChoiceField(coerce=lambda value: value == "yes", choices=[("yes", ""), ("no", "")])


class SightingWithdrawForm(EntryForm):
    """Why a sighting counts no more."""

    because = words_field(
        "Why it counts no more",
        most=LONGEST_NOTE,
        missing=f"Give the reason, in {SHORTEST_REASON} letters or more.",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="It is kept beside the sighting for all who work the plot. Write no names.",
    )
    version = version_field()

    def __init__(self, *args: Any, version: int, **kwargs: Any) -> None:
        kwargs["initial"] = {"version": version}
        super().__init__(*args, **kwargs)
