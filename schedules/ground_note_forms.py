"""What a grower or the committee enters of a piece of ground beside its crops: where, what, when."""

from collections.abc import Sequence
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from plots.ground_places import GroundPlace, patch_place, piece_of, whole_bed, whole_plot
from plots.measures import METRES_PER_FOOT
from plots.models import Bed, BedKind, GroundEventKind, HowSure, Patch, Plot
from plots.other_use_families import families_offered, plain_family_name
from plots.placing import Strip
from plots.rotation import green_manures, problems
from plots.selectors import season_name
from schedules.committee_forms.entry import DayField, EntryForm, words_field
from schedules.reading_forms import FigureField
from schedules.sowing_fields import MeasureField

WHOLE_PLOT, THIS_PIECE, ANOTHER = "plot", "piece", ""
PART = ("length", "width", "along", "across")
SEASONS_BACK = 30
LONGEST_NOTE = 400
NOT_OFFERED = {
    "required": "Choose one of the lines that are offered.",
    "invalid_choice": "Choose one of the lines that are offered.",
}


class PlaceForm(EntryForm):
    """Where: a bed, the whole plot, or a part of either. Beds are handed in; nothing here asks the database.

    ``patch`` is the piece of ground whose page the reader came from.
    """

    at_field: ClassVar[dict[str, str]] = {
        "length_m": "length", "width_m": "width", "along_m": "along", "across_m": "across",
        "place": "where", "outline": "length",
    }  # fmt: skip

    where = forms.ChoiceField(label="Where", error_messages=NOT_OFFERED)

    def __init__(
        self, *args: Any, plot: Plot, beds: Sequence[Bed], patch: Patch | None, units: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.plot, self.patch = plot, patch
        self.beds = {str(bed.pk): bed for bed in beds}
        self.metres = METRES_PER_FOOT if units == "imperial" else 1.0
        unit = "feet" if units == "imperial" else "metres"
        piece = (
            [(THIS_PIECE, f"this piece of {patch.bed.name if patch.bed else 'the plot'}")] if patch else []
        )
        offered = [(key, bed.name) for key, bed in self.beds.items()]
        self.fields["where"].choices = [*piece, *offered, (WHOLE_PLOT, "the whole plot")]  # type: ignore[attr-defined]
        for name, label in zip(PART, self._part_labels(unit), strict=True):
            self.fields[name] = MeasureField(label=label)
        self.order_fields(["where", *PART])

    def _part_labels(self, unit: str) -> tuple[str, str, str, str]:
        return (
            f"Only a part of it: how long, in {unit}; empty for all of it",
            f"How wide, in {unit}",
            f"Where it begins along the first side, in {unit}",
            f"Where it begins from that side inward, in {unit}",
        )

    @property
    def fields_to_where(self) -> list[forms.BoundField]:
        """What stands before the part: everything up to the question where."""
        names = list(self.fields)
        return [self[name] for name in names[: names.index("where") + 1]]

    @property
    def fields_after(self) -> list[forms.BoundField]:
        before = {*PART, *(field.name for field in self.fields_to_where)}
        return [self[name] for name in self.fields if name not in before]

    @property
    def part_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in PART]

    @property
    def shows_part(self) -> bool:
        """Whether the fields of a part are to stand open: something is in them."""
        return any(field.value() or field.errors for field in self.part_fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        given = [name for name in PART if cleaned.get(name) is not None]
        if given and cleaned.get("where") == THIS_PIECE:
            self.add_error("where", "A part is measured from a bed or from the plot; choose one of these.")
        for name, word in (("length", "long"), ("width", "wide")):
            if given and name not in given and name not in self.errors:
                self.add_error(name, f"Say how {word} the part is, or leave all four empty.")
        if not self.errors:
            try:
                cleaned["place"] = self._place(cleaned, is_part=bool(given))
            except ValidationError as fault:
                self.refuse(fault)
        return cleaned

    def _place(self, cleaned: dict[str, Any], *, is_part: bool) -> GroundPlace:
        where = cleaned["where"]
        if where == THIS_PIECE and self.patch is not None:
            return patch_place(self.patch)
        whole = whole_plot(self.plot) if where == WHOLE_PLOT else whole_bed(self.beds[where])
        if not is_part:
            return whole
        return piece_of(whole, Strip(*((cleaned[name] or 0.0) * self.metres for name in PART)))

    @property
    def wish(self) -> dict[str, Any]:
        return {key: value for key, value in self.cleaned_data.items() if key not in {"where", *PART}}


def note_field() -> forms.CharField:
    return words_field(
        "A note, if you like",
        most=LONGEST_NOTE,
        missing="",
        required=False,
        help_text="All who work the plot and the committee read it. Write no names.",
    )


class EventForm(PlaceForm):
    """A dressing, a pH reading, shade, or fresh mix in a container."""

    kind = forms.ChoiceField(label="What", error_messages=NOT_OFFERED)
    on = DayField(label="On which day; of shade the first day")
    until = DayField(label="Last day of shade; empty while it lasts", required=False)
    value = FigureField(label="pH, if one was read")
    words = note_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        has_mix = any(bed.kind == BedKind.CONTAINER for bed in self.beds.values())
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            (kind.value, kind.label)
            for kind in GroundEventKind
            if has_mix or kind is not GroundEventKind.MIX_FRESH
        ]
        self.order_fields(["kind", "on", "where", *PART, "value", "until", "words"])


class SightingForm(PlaceForm):
    """A pest or disease of the ground, where it was seen, and how sure they are who saw it."""

    problem = forms.ChoiceField(label="What was seen", error_messages=NOT_OFFERED)
    seen_on = DayField(label="On which day")
    how_sure = forms.ChoiceField(
        label="How sure you are", choices=HowSure.choices, initial=HowSure.THINK, error_messages=NOT_OFFERED
    )
    words = note_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = sorted((each.name, key) for key, each in problems().items())
        self.fields["problem"].choices = [("", "Choose"), *((key, name) for name, key in named)]  # type: ignore[attr-defined]
        self.order_fields(["problem", "seen_on", "how_sure", "where", *PART, "words"])


class OtherUseForm(PlaceForm):
    """A green manure from the list, or whatever else grew, by its family."""

    plant = forms.ChoiceField(label="What grew", required=False, error_messages=NOT_OFFERED)
    name = words_field("If it is not on the list: its name", most=60, missing="", required=False)
    family = forms.ChoiceField(label="and its family", required=False, error_messages=NOT_OFFERED)
    is_root = forms.BooleanField(label="It was a root crop", required=False)
    first_season = forms.TypedChoiceField(label="Season", coerce=int, error_messages=NOT_OFFERED)
    last_season = forms.TypedChoiceField(
        label="Last season, if it stood longer", coerce=int, required=False, empty_value=None,
        error_messages=NOT_OFFERED,
    )  # fmt: skip
    is_coarse = forms.BooleanField(label="Somewhere on this ground, not all over it", required=False)
    words = note_field()

    def __init__(self, *args: Any, present: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        site = self.plot.site
        seasons = [
            (season, season_name(site, season)) for season in range(present + 1, present - SEASONS_BACK, -1)
        ]
        choices = {
            "plant": [(ANOTHER, "something else"), *_plants()],
            "family": [("", "–"), *((key, f"{name} ({key})") for key, name in _families())],
            "first_season": seasons,
            "last_season": [("", "the same season"), *seasons],
        }
        for field, offered in choices.items():
            self.fields[field].choices = offered  # type: ignore[attr-defined]
        self.fields["first_season"].initial = present
        self.order_fields(
            ["plant", "name", "family", "is_root", "first_season", "last_season", "where", *PART, "is_coarse"]
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("plant") and (cleaned.get("name") or cleaned.get("family")):
            self.add_error("plant", "Choose a line here, or write a name and a family; not both.")
        elif not cleaned.get("plant") and "plant" not in self.errors:
            for name, said in (("name", "Say what grew, like mustard."), ("family", "Choose its family.")):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, said)
        return cleaned

    @property
    def wish(self) -> dict[str, Any]:
        known = super().wish
        plant = green_manures().get(known.pop("plant"))
        return {**known, "name": plant.name, "family": plant.family} if plant else known


def _plants() -> list[tuple[str, list[tuple[str, str]]]]:
    found: dict[str, list[tuple[str, str]]] = {}
    for key, plant in green_manures().items():
        found.setdefault(plant.family, []).append((key, plant.name))
    return [(_capital(plain_family_name(family)), sorted(plants)) for family, plants in found.items()]


def _families() -> list[tuple[str, str]]:
    return sorted(families_offered().items(), key=lambda item: item[1])


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
