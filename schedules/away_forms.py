"""Asking for a stand-in."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from schedules.forms import ISO
from society.absence_selectors import who_may_stand_in
from society.models import Member

NOBODY = (
    "Nobody of that name can be asked: write the whole name as it stands in the society’s book, or the "
    "e-mail address. Whoever stands in needs a log-in."
)
SEVERAL = "More than one member has that name. Write the e-mail address instead."


class AwayForm(forms.Form):
    """From when to when a member is away, and who is asked to read the letters."""

    since = forms.DateField(label="First day away", input_formats=[ISO])
    until = forms.DateField(label="Last day away", input_formats=[ISO])
    stand_in = forms.CharField(
        label="Who stands in",
        max_length=254,
        help_text="The whole name, or the e-mail address. They are asked by letter and may say no.",
        error_messages={"required": "Write who should stand in: the whole name, or the e-mail address."},
    )

    def __init__(self, *args: Any, member: Member, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.prefix = f"member-{member.pk}"
        self.member, self.today = member, today
        for name in ("since", "until"):
            field = self.fields[name]
            field.widget = forms.DateInput(format=ISO, attrs={"type": "date", "min": today.isoformat()})
            field.error_messages = {
                "required": f"{field.label}: write the day, like {today:%Y-%m-%d}.",
                "invalid": f"{field.label}: no date. Write year, month and day, like {today:%Y-%m-%d}.",
            }

    def clean_stand_in(self) -> Member:
        found = who_may_stand_in(self.cleaned_data["stand_in"], on=self.today)
        if not found:
            raise ValidationError(NOBODY)
        if len(found) > 1:
            raise ValidationError(SEVERAL)
        return found[0]
