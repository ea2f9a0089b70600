"""Forms about members: how they want to be written to, and whom the committee invites."""

from typing import Any

from django import forms

from society.models import LetterPreference, Member
from society.models.members import Units
from society.zones import validate_zone

WEEKDAYS = list(enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")))
HOURS = [(hour, f"{hour:02}:00") for hour in range(24)]
WISHES = (
    "weekly", "weekday", "hour", "weekly_when_empty", "day_notes", "notices", "quiet_from", "quiet_until",
    "digest", "zone",
)  # fmt: skip
NOT_OFFERED = "Choose one of the lines that are offered."


def _hour_field(label: str, *, help_text: str = "") -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label,
        choices=HOURS,
        coerce=int,
        error_messages={"invalid_choice": NOT_OFFERED},
        help_text=help_text,
    )


class LettersWantedForm(forms.Form):
    """One member's wishes. The fields carry the member's number, so that several forms fit on a page.

    The letter to the committee is asked about only where the member sits on it.
    """

    weekly = forms.BooleanField(label="The weekly letter", required=False)
    weekday = forms.TypedChoiceField(
        label="On which day", choices=WEEKDAYS, coerce=int, error_messages={"invalid_choice": NOT_OFFERED}
    )
    hour = _hour_field("From which hour")
    weekly_when_empty = forms.BooleanField(label="Also in weeks when nothing is due", required=False)
    day_notes = forms.BooleanField(
        label="Day notes: what cannot wait, such as frost tonight or the root fly on the wing", required=False
    )
    notices = forms.BooleanField(label="Urgent notices of the committee", required=False)
    digest = forms.BooleanField(
        label="The committee’s own letter on Mondays: what waits for an answer", required=False
    )
    quiet_from = _hour_field("Nothing else from")
    quiet_until = _hour_field(
        "until",
        help_text="Day notes and notices that come up in these hours wait until they end; a frost that has "
        "come by then is not told any more. Two equal hours: no quiet hours.",
    )
    zone = forms.CharField(
        label="Your clock",
        required=False,
        max_length=64,
        validators=[validate_zone],
        help_text="Leave it empty for the clock of your site. Where you live by another, write it like "
        "Europe/London.",
        widget=forms.TextInput(attrs={"autocapitalize": "words", "spellcheck": "false"}),
    )
    units = forms.ChoiceField(
        label="Measures", choices=Units.choices, error_messages={"invalid_choice": NOT_OFFERED}
    )

    def __init__(
        self, *args: Any, member: Member, wishes: LetterPreference, is_seated: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.initial = {name: getattr(wishes, name) for name in WISHES} | {"units": member.units}
        self.prefix = f"member-{member.pk}"
        self.member = member
        if not is_seated:
            del self.fields["digest"]

    @property
    def wishes(self) -> dict[str, Any]:
        """What was wished for, without the measures; what was not asked about is left out."""
        return {name: said for name, said in self.cleaned_data.items() if name != "units"}


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
