"""What a grower writes down of a sowing: where, what, when, under which cover."""

from collections.abc import Sequence
from datetime import date
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.template.defaultfilters import capfirst

from plots.crops import Crop, crops
from plots.measures import METRES_PER_FOOT
from plots.models import Bed, Sowing
from plots.placing import Strip
from plots.sowing_wishes import Place
from schedules.ground_rest import family_name
from schedules.sowing_fields import (
    COVER_WORDS,
    NOT_OFFERED,
    DayField,
    DaysForm,
    MeasureField,
    ObjectionsForm,
    cover_field,
    variety_field,
    version_field,
)

NO_BED = "none"
MEASURES = ("length", "width", "along", "across")
OPEN_STATES = frozenset({Sowing.State.PLANNED, Sowing.State.SOWN})


class SowForm(DaysForm):
    """A wished sowing. Nothing in it asks the database: beds and crops are handed in."""

    bed = forms.ChoiceField(
        error_messages={
            "required": "Choose the bed.",
            "invalid_choice": "Choose one of the beds of this plot.",
        }
    )
    crop_key = forms.ChoiceField(
        label="Crop",
        error_messages={"required": "Choose the crop.", "invalid_choice": "Choose one of the crops."},
    )
    place = forms.ChoiceField(
        choices=[("whole", "the whole bed"), ("part", "a part of it")],
        initial="whole",
        error_messages={"required": NOT_OFFERED, "invalid_choice": NOT_OFFERED},
    )
    length = MeasureField(label="Length")
    width = MeasureField(label="Width")
    along = MeasureField(label="Begins, from that end, at")
    across = MeasureField(label="Begins, from that side, at")
    cover = cover_field()
    variety = variety_field()

    field_order = ["bed", "crop_key", "place", "length", "width", "along", "across", "when"]

    def __init__(self, *args: Any, beds: Sequence[Bed], units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.beds = {str(bed.pk): bed for bed in beds}
        self.metres = METRES_PER_FOOT if units == "imperial" else 1.0
        offered = [(key, bed.name) for key, bed in self.beds.items()]
        cast(forms.ChoiceField, self.fields["bed"]).choices = [*offered, (NO_BED, "no bed")]
        cast(forms.ChoiceField, self.fields["crop_key"]).choices = [("", "Choose a crop"), *crop_groups()]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("place") == "whole":
            self.drop(MEASURES)
        for name, word in (("length", "long"), ("width", "wide")):
            if cleaned.get("place") == "part" and cleaned.get(name) is None and name not in self.errors:
                self.add_error(name, f"Say how {word} the part is.")
        return cleaned

    @property
    def measures(self) -> list[forms.BoundField]:
        return [self[name] for name in MEASURES]

    @property
    def bed_chosen(self) -> Bed | None:
        return self.beds.get(self.cleaned_data["bed"])

    @property
    def place_chosen(self) -> Place:
        if self.cleaned_data["place"] == "whole":
            return None
        length, width, along, across = ((self.cleaned_data[name] or 0.0) * self.metres for name in MEASURES)
        return Strip(length, width, along, across)

    @property
    def sent(self) -> list[tuple[str, str]]:
        """What was sent, field by field, to be sent once more with the decision."""
        return [(name, str(self.data[name])) for name in self.fields if name in self.data]


class ChangeForm(DaysForm):
    """What can still be changed: of a plan everything here, of what stands the cover and the variety."""

    cover = cover_field()
    variety = variety_field()
    version = version_field()

    def __init__(self, data: QueryDict | None = None, *, sowing: Sowing) -> None:
        super().__init__(data, initial=_as_written(sowing))
        self.is_plan = sowing.state == Sowing.State.PLANNED
        gone = [] if self.is_plan else ["when", "not_before", "sow_on"]
        if sowing.state not in OPEN_STATES:
            gone.append("cover")
        for name in gone:
            del self.fields[name]

    @property
    def words(self) -> list[str]:
        """What was written, for a reader whose change came too late."""
        written = self.cleaned_data
        said = []
        if self.is_plan:
            day = written["sow_on"]
            said.append(f"sow on {day.isoformat()}" if day else "sow as soon as the ground is fit")
        if "cover" in written:
            said.append(COVER_WORDS[written["cover"]])
        return said + ([written["variety"]] if written["variety"] else [])


class EndForm(ObjectionsForm):
    """Clearing what stands, or withdrawing a plan."""

    on = DayField(label="Cleared on")
    version = version_field()

    def __init__(self, data: QueryDict | None, *, sowing: Sowing, today: date) -> None:
        super().__init__(data, initial={"on": today, "version": sowing.version})
        if sowing.state == Sowing.State.PLANNED:
            del self.fields["on"]

    def clean_on(self) -> date:
        day: date | None = self.cleaned_data["on"]
        if day is None:
            raise ValidationError("The day is missing; enter the day on which it was cleared.")
        return day


def crop_groups() -> list[tuple[str, list[tuple[str, str]]]]:
    """The crops by family: families with root crops first, and in each the roots first."""
    families: dict[str, list[Crop]] = {}
    for crop in sorted(crops(), key=lambda crop: not _is_root(crop)):
        families.setdefault(crop.family, []).append(crop)
    return [
        (capfirst(family_name(family)), [(crop.key, crop.name) for crop in members])
        for family, members in families.items()
    ]


def _is_root(crop: Crop) -> bool:
    fact = crop.get("is_root")
    return bool(fact and fact.value)


def _as_written(sowing: Sowing) -> dict[str, Any]:
    return {
        "when": "day" if sowing.sow_on else "fit",
        "sow_on": sowing.sow_on,
        "not_before": sowing.not_before,
        "cover": sowing.cover,
        "variety": sowing.variety,
        "version": sowing.version,
    }
