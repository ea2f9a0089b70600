"""Who holds a plot, who helps on it, and who waits for one."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms

from plots.holding_selectors import vacant_plots
from plots.models import Plot, Site, Tenancy
from plots.waiting_services import ACCEPTED, DECLINED
from schedules.committee_forms.entry import DayField, EntryForm, version_field
from schedules.committee_forms.people import NOBODY, MemberField, active_members
from society.models import Member

TENANTS = ("tenant", "tenant_2", "tenant_3", "tenant_4")
OFFER_LASTS = timedelta(days=14)


def money_field(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=Decimal(0),
        max_digits=8,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal"}),
        error_messages={
            "invalid": "This is not a sum; write it like 45.50.",
            "min_value": "A sum cannot be less than nothing.",
        },
    )


class TenancyForm(EntryForm):
    """Letting a plot to one member, or to up to four together."""

    at_field = {"members": "tenant", "plot": "since"}

    tenant = MemberField(label="Tenant")
    tenant_2 = MemberField(label="Together with", required=False, empty_label=NOBODY)
    tenant_3 = MemberField(label="And with", required=False, empty_label=NOBODY)
    tenant_4 = MemberField(label="And with a fourth", required=False, empty_label=NOBODY)
    since = DayField(label="From which day")
    rent_due = money_field("Rent due")
    deposit = money_field("Key deposit held")
    key_note = forms.CharField(label="Key, as the society notes it", required=False, max_length=80)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"since": today, **kwargs.pop("initial", {})}
        super().__init__(*args, **kwargs)
        for name in TENANTS:
            self.fields[name].queryset = active_members()  # type: ignore[attr-defined]

    @property
    def wish(self) -> dict[str, Any]:
        known = dict(self.cleaned_data)
        members = [member for member in (known.pop(name) for name in TENANTS) if member is not None]
        return {**known, "members": members}


class TenancyEndForm(EntryForm):
    """Why a tenancy ends, for whom, and what becomes of what is in the ground."""

    reason = forms.ChoiceField(
        label="Why it ends", choices=Tenancy.Ended.choices, error_messages={"required": "Say why it ends."}
    )
    on = DayField(label="On which day")
    died_on = DayField(label="Day of death, if it was another day", required=False)
    leaving = forms.ModelMultipleChoiceField(
        label="For whom it ends",
        queryset=Member.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick those for whom it ends."},
        help_text="Who is not ticked holds on, on the same terms.",
    )
    passed_to = MemberField(
        label="What stands in the ground is passed on to",
        required=False,
        empty_label="Nobody: it is cleared",
        help_text="Whoever takes it over gets the plot’s jobs in their letters. With nobody, plans go too.",
    )
    version = version_field()

    def __init__(self, *args: Any, tenancy: Tenancy, today: date, **kwargs: Any) -> None:
        holders = tenancy.holders.order_by("name")
        kwargs["initial"] = {
            "on": today,
            "version": tenancy.version,
            "leaving": [each.pk for each in holders],
        }
        super().__init__(*args, **kwargs)
        self.fields["leaving"].queryset = holders  # type: ignore[attr-defined]
        self.fields["passed_to"].queryset = active_members()  # type: ignore[attr-defined]
        self.alone = len(kwargs["initial"]["leaving"]) == 1
        if self.alone:
            del self.fields["leaving"]

    @property
    def wish(self) -> dict[str, Any]:
        known = dict(self.cleaned_data)
        leaving = known.pop("leaving", None)
        return {**known, "leaving": list(leaving) if leaving is not None else None}


class RentForm(EntryForm):
    paid_on = DayField(label="Paid on", required=False, help_text="Empty takes a mistaken note back.")
    version = version_field()

    def __init__(self, *args: Any, tenancy: Tenancy, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"paid_on": tenancy.rent_paid_on or today, "version": tenancy.version}
        super().__init__(*args, **kwargs)


class HelperForm(EntryForm):
    at_field = {"plot": "since"}

    member = MemberField(label="Who helps")
    since = DayField(label="From which day")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"since": today}
        super().__init__(*args, **kwargs)
        self.fields["member"].queryset = active_members()  # type: ignore[attr-defined]


class WaitingForm(EntryForm):
    member = MemberField(label="Who waits")
    asked_on = DayField(label="Asked on")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"asked_on": today}
        super().__init__(*args, **kwargs)
        self.fields["member"].queryset = active_members()  # type: ignore[attr-defined]


class PlotField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return f"Plot {obj.number}, {obj.area_m2:.0f} m²"


class OfferForm(EntryForm):
    at_field = {"made_on": "lapses_on", "entry": "plot", "since": "plot"}

    plot = PlotField(
        queryset=Plot.objects.none(),
        label="Vacant plot",
        empty_label="Choose a plot",
        error_messages={
            "required": "Choose a vacant plot.",
            "invalid_choice": "This plot is not vacant now.",
        },
    )
    lapses_on = DayField(label="The offer stands until")

    def __init__(self, *args: Any, site: Site, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"lapses_on": today + OFFER_LASTS}
        super().__init__(*args, **kwargs)
        self.fields["plot"].queryset = vacant_plots(site, on=today)  # type: ignore[attr-defined]


class AnswerForm(EntryForm):
    at_field = {"plot": "on", "members": "answer", "since": "on"}

    answer = forms.ChoiceField(
        label="Their answer",
        choices=[(ACCEPTED, "Yes: the plot is let to them"), (DECLINED, "No: they stay on the list")],
        error_messages={"required": "Say what they answered."},
    )
    on = DayField(label="On which day")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"on": today}
        super().__init__(*args, **kwargs)
