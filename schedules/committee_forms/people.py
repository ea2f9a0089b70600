"""Members, and their seats on the committee."""

from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet

from plots.membership_services import DIED, LEFT
from schedules.committee_forms.entry import DayField, EntryForm, version_field, words_field
from society.models import Member
from society.models.members import Units

NOBODY = "Nobody"


class MemberField(forms.ModelChoiceField):
    """One of the active members, told apart by the year in which they joined."""

    def __init__(self, *, label: str, **kwargs: Any) -> None:
        kwargs.setdefault("empty_label", "Choose a member")
        super().__init__(
            queryset=Member.objects.none(),
            label=label,
            error_messages={
                "required": "Choose a member.",
                "invalid_choice": "Choose one of the members that are offered.",
            },
            **kwargs,
        )

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name} (since {obj.joined_on.year})"


def active_members() -> QuerySet[Member]:
    return Member.objects.filter(left_on__isnull=True, died_on__isnull=True)


class MemberForm(EntryForm):
    name = words_field("Name", most=120, missing="Enter the member’s name.")
    email = forms.EmailField(
        label="E-mail address",
        required=False,
        help_text="Empty: their letters come on paper.",
        error_messages={"invalid": "This is not an e-mail address; write it like name@place.example."},
    )
    joined_on = DayField(label="Member since")
    units = forms.ChoiceField(label="Measures in their letters", choices=Units.choices)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["joined_on"].initial = today
        self.fields["units"].initial = Units.METRIC


class MemberChangeForm(MemberForm):
    version = version_field()

    def __init__(self, *args: Any, member: Member, today: date, **kwargs: Any) -> None:
        fields = ("name", "email", "joined_on", "units", "version")
        kwargs["initial"] = {name: getattr(member, name) for name in fields}
        super().__init__(*args, today=today, **kwargs)


class GoneForm(EntryForm):
    """A member who left the society, or died."""

    reason = forms.ChoiceField(
        label="What happened",
        choices=[(LEFT, "They left the society"), (DIED, "They died")],
        error_messages={"required": "Say what happened."},
    )
    on = DayField(label="On which day")
    version = version_field()

    def __init__(self, *args: Any, member: Member, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today, "version": member.version}
        super().__init__(*args, **kwargs)


class SeatForm(EntryForm):
    office = words_field("Office", most=60, missing="Enter the office, like Secretary.")
    since = DayField(label="From which day")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"since": today}
        super().__init__(*args, **kwargs)


class EndForm(EntryForm):
    """The day on which something ends."""

    on = DayField(label="On which day")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today}
        super().__init__(*args, **kwargs)


class InviteForm(EntryForm):
    email = forms.EmailField(
        label="E-mail address",
        max_length=254,
        error_messages={
            "required": "Enter the address that the invitation goes to.",
            "invalid": "This is not an e-mail address; write it like name@place.example.",
        },
    )
