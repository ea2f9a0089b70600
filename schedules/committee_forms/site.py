"""A site: where it lies, what its ground is, when its year begins, and a weather file for it."""

from typing import Any

from django import forms

from plots.insects import all_insects
from plots.models import FrostWords, Site, SoilKind
from schedules.committee_forms.entry import EntryForm, version_field, words_field
from schedules.weather_csv import Undecodable, decode
from society.zones import zone_names

FIELDS = ("name", "latitude", "longitude", "height_m", "zone", "soil", "insects", "frost_words")
SEASON = ("season_month", "season_day")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip
SOIL_WORDS = {**dict(SoilKind.choices), "mix": "potting mix (containers throughout)"}
NOT_OFFERED = "Choose one of the lines that are offered."
SEASON_STAYS = "It stays: the seasons on record are counted from it."
LARGEST_BYTES = 2_000_000


def insect_words(key: str) -> str:
    """'carrot-fly' as 'carrot fly'."""
    return key.replace("-", " ")


def _degrees(label: str, most: int, example: str, help_text: str) -> forms.FloatField:
    wrong = f"Give degrees from −{most} to {most}, with a point, like {example}."
    return forms.FloatField(
        label=label,
        min_value=-most,
        max_value=most,
        help_text=help_text,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "text"}),
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), wrong),
    )


class SiteForm(EntryForm):
    """A site that is entered."""

    name = words_field("Name", most=120, missing="Enter the site’s name.")
    latitude = _degrees("Latitude, degrees", 90, "52.1", "North is above nothing, south below: −37.8.")
    longitude = _degrees("Longitude, degrees", 180, "-1.2", "East is above nothing, west below: −1.2.")
    height_m = forms.FloatField(
        label="Height above the sea, m",
        min_value=-430,
        max_value=5500,
        initial=0,
        widget=forms.NumberInput(attrs={"step": "any"}),
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"),
            "Give the height in metres, from −430 to 5500, like 24; 0 where you do not know it.",
        ),
    )
    zone = forms.CharField(
        label="Time zone",
        max_length=64,
        widget=forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
        help_text="The name of the clock that people go by there, like Europe/London.",
        error_messages={"required": "Name the time zone, like Europe/London."},
    )
    soil = forms.ChoiceField(
        label="Soil", choices=list(SOIL_WORDS.items()), error_messages={"invalid_choice": NOT_OFFERED}
    )
    insects = forms.MultipleChoiceField(
        label="Insects known in the region",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=[(key, insect_words(key)) for key in all_insects()],
        help_text="Only these are warned of and guarded against. Leave one out when it is truly not there.",
        error_messages={"invalid_choice": NOT_OFFERED},
    )
    frost_words = forms.ChoiceField(
        label="Words for frost",
        choices=FrostWords.choices,
        help_text="How hard a frost is called in letters and plans.",
        error_messages={"invalid_choice": NOT_OFFERED},
    )
    season_month = forms.TypedChoiceField(
        label="The growing year begins in",
        coerce=int,
        empty_value=None,
        required=False,
        choices=[("", "January, or July in the south"), *enumerate(MONTHS, start=1)],
        help_text="The coldest month. It cannot be moved once something is planned.",
        error_messages=dict.fromkeys(("required", "invalid_choice"), NOT_OFFERED),
    )
    season_day = forms.IntegerField(
        label="and on this day of that month",
        min_value=1,
        max_value=28,
        initial=1,
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), "A day from 1 to 28, which every month has."
        ),
    )

    def __init__(self, *args: Any, zone: str = "", **kwargs: Any) -> None:
        kwargs.setdefault(
            "initial",
            {
                "zone": zone, "height_m": 0, "soil": SoilKind.LOAM, "insects": all_insects(),
                "frost_words": FrostWords.UK, "season_day": 1,
            },
        )  # fmt: skip
        super().__init__(*args, **kwargs)

    def clean_zone(self) -> str:
        name = str(self.cleaned_data["zone"]).strip()
        if name not in zone_names():
            raise forms.ValidationError(
                f"“{name[:40]}” is not a time zone. Write one like Europe/London or America/Chicago."
            )
        return name

    @property
    def wish(self) -> dict[str, Any]:
        known = dict(self.cleaned_data)
        month, day = (known.pop(name) for name in SEASON)
        start = (month, day) if month else None
        return {**known, "insects": sorted(known["insects"]), "season_start": start}


class SiteChangeForm(SiteForm):
    """A site that is corrected. The beginning of its year stands still once seasons were counted from it."""

    version = version_field()

    def __init__(self, *args: Any, site: Site, season_stays: bool, **kwargs: Any) -> None:
        kwargs["initial"] = {name: getattr(site, name) for name in (*FIELDS, *SEASON, "version")}
        super().__init__(*args, **kwargs)
        month: Any = self.fields["season_month"]
        month.choices, month.required = list(enumerate(MONTHS, start=1)), True
        if season_stays:
            for name in SEASON:
                self.fields[name].disabled = True
                self.fields[name].help_text = SEASON_STAYS

    @property
    def wish(self) -> dict[str, Any]:
        return {**self.cleaned_data, "insects": sorted(self.cleaned_data["insects"])}

    def _value_of(self, row: Any, name: str) -> str:
        if name == "insects":
            return ", ".join(insect_words(each) for each in row.insects) or "none"
        return super()._value_of(row, name)


class WeatherFileForm(EntryForm):
    """A weather file: chosen once to be looked at, then sent back as text to be kept."""

    file = forms.FileField(
        label="Weather file",
        required=False,
        allow_empty_file=True,
        help_text="CSV, 2 MB at most. The heading names quantity and unit, like date,tmin_c,tmax_c,rain_mm,"
        "wind_ms for days, or month,tmin_c,tmax_c,rain_mm for twelve monthly means.",
    )
    text = forms.CharField(
        required=False, strip=False, widget=forms.HiddenInput, max_length=2 * LARGEST_BYTES
    )
    unit_is_right = forms.BooleanField(label="The unit in the heading is right", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        sent = cleaned.get("file")
        if sent is not None:
            if sent.size > LARGEST_BYTES:
                self.add_error("file", "The file is larger than 2 MB. Split it by years and send each part.")
                return cleaned
            try:
                cleaned["text"] = decode(sent.read())
            except Undecodable as fault:
                self.add_error("file", f"{str(fault)[:1].upper()}{str(fault)[1:]}")
        elif not cleaned.get("text") and not self.errors:
            self.add_error("file", "Choose the file first.")
        return cleaned
