"""A file of old records: chosen once to be looked at, then sent back by the page to be kept."""

from datetime import datetime
from typing import Any

from django import forms

from plots.record_csv import MAX_BYTES
from schedules.carried_file import MOST_CARRIED, CarriedFault, unpacked
from schedules.committee_forms.entry import EntryForm


class RecordFileForm(EntryForm):
    """``data`` among the cleaned values is the file's content, whichever way it came."""

    file = forms.FileField(
        label="File of old records",
        required=False,
        allow_empty_file=True,
        help_text="CSV or XLSX, 5 MB and 20,000 rows at most. The headings say which column is which: year, "
        "plot, bed or corner, from, to, crop, problem; and if you have them variety, sure, note, length_m, "
        "width_m.",
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,.txt,.tsv"}),
    )
    carried = forms.CharField(required=False, strip=False, widget=forms.HiddenInput, max_length=MOST_CARRIED)
    is_complete = forms.BooleanField(
        label="It holds all that grew on its plots since its first season there",
        required=False,
        help_text="Then those plots’ records count as complete from that season on, and ground that is not "
        "in the file counts as rested.",
    )

    def __init__(self, *args: Any, about: str, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.about, self.now = about, now

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        sent, carried = cleaned.get("file"), cleaned.get("carried")
        if sent is not None:
            if sent.size > MAX_BYTES:
                self.add_error("file", "The file is larger than 5 MB. Split it by years and send each part.")
                return cleaned
            cleaned["data"] = sent.read()
        elif carried:
            self._take_carried(cleaned, carried)
        elif not self.errors:
            self.add_error("file", "Choose the file first.")
        return cleaned

    def _take_carried(self, cleaned: dict[str, Any], carried: str) -> None:
        try:
            cleaned["data"] = unpacked(carried, about=self.about, most=MAX_BYTES, now=self.now)
        except CarriedFault as fault:
            self.add_error("file", str(fault))
