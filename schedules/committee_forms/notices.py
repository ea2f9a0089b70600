"""What the committee tells everybody."""

from datetime import date, timedelta
from typing import Any

from django import forms

from schedules.committee_forms.entry import DayField, EntryForm, version_field, words_field
from schedules.models import Notice

STANDS = timedelta(days=14)


class NoticeForm(EntryForm):
    text = words_field(
        "What it says",
        most=400,
        missing="Write what the notice says.",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Write no names: a public notice stands on the screen at the gate.",
    )
    since = DayField(label="From")
    until = DayField(label="Until, that day included")
    is_public = forms.ChoiceField(
        label="Who reads it",
        choices=[("no", "Members only"), ("yes", "Everybody: members, and whoever passes the screen")],
        error_messages={"required": "Say who reads it."},
    )

    is_urgent = forms.BooleanField(
        label="Urgent: tell it by letter as well",
        required=False,
        help_text="Everybody who works on this site and has an e-mail address gets a letter, at once or on "
        "the first day; not in their quiet hours. Whoever has none has to be told at the gate.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"since": today, "until": today + STANDS, "is_public": "no"})
        super().__init__(*args, **kwargs)

    @property
    def wish(self) -> dict[str, Any]:
        return {**self.cleaned_data, "is_public": self.cleaned_data["is_public"] == "yes"}


class NoticeChangeForm(NoticeForm):
    version = version_field()

    def __init__(self, *args: Any, notice: Notice, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "text": notice.text,
            "since": notice.since,
            "until": notice.until,
            "is_public": "yes" if notice.is_public else "no",
            "is_urgent": notice.is_urgent,
            "version": notice.version,
        }
        super().__init__(*args, today=today, **kwargs)
