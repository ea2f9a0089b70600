"""Forms about members: how they want to be written to, and whom the committee invites."""

from typing import Any

from django import forms

from society.models import LetterPreference, Member
from society.models.members import Units

WEEKDAYS = list(enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")))
HOURS = [(hour, f"{hour:02}:00") for hour in range(24)]
WISHES = ("weekly", "weekday", "hour", "weekly_when_empty", "day_notes")
NOT_OFFERED = "Choose one of the lines that are offered."


class LettersWantedForm(forms.Form):
    """One member's wishes. The fields carry the member's number, so that several forms fit on a page."""

    weekly = forms.BooleanField(label="The weekly letter", required=False)
    weekday = forms.TypedChoiceField(
        label="On which day", choices=WEEKDAYS, coerce=int, error_messages={"invalid_choice": NOT_OFFERED}
    )
    hour = forms.TypedChoiceField(
        label="From which hour",
        choices=HOURS,
        coerce=int,
        error_messages={"invalid_choice": NOT_OFFERED},
        help_text="By the clock of the site.",
    )
    weekly_when_empty = forms.BooleanField(label="Also in weeks when nothing is due", required=False)
    day_notes = forms.BooleanField(
        label="Day notes: what cannot wait, such as frost tonight or the root fly on the wing", required=False
    )
    units = forms.ChoiceField(
        label="Measures", choices=Units.choices, error_messages={"invalid_choice": NOT_OFFERED}
    )

    def __init__(self, *args: Any, member: Member, wishes: LetterPreference, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial = {name: getattr(wishes, name) for name in WISHES} | {"units": member.units}
        self.prefix = f"member-{member.pk}"
        self.member = member


class InviteForm(forms.Form):
    """The address that an invitation goes to; for the committee's page."""

    email = forms.EmailField(
        label="E-mail address",
        max_length=254,
        error_messages={
            "required": "Enter the address that the invitation goes to.",
            "invalid": "This is not an e-mail address; write it like name@place.example.",
        },
    )
