"""Pairing a screen by the code that it shows."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from plots.models import Site
from schedules.pairing_codes import LENGTH, as_kept, is_code


class PairForm(forms.Form):
    """The code, what the screen is to be called, and its site where there are several."""

    code = forms.CharField(
        label="The code on the screen",
        max_length=40,
        help_text="Six letters and digits. Gaps and small letters do not matter.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
        error_messages={"required": "Code: write the six letters and digits that the screen shows."},
    )
    name = forms.CharField(
        label="What to call it",
        max_length=60,
        help_text="Where it hangs, for instance ‘Gate’.",
        error_messages={
            "required": "Name: write where the screen hangs, so that it can be told from others.",
            "max_length": "Name: use at most 60 letters.",
        },
    )
    site = forms.ModelChoiceField(
        label="Site",
        queryset=Site.objects.none(),
        empty_label=None,
        error_messages={
            "required": "Site: choose the site whose week it shows.",
            "invalid_choice": "Site: choose one of the sites that are offered.",
        },
    )

    def __init__(self, *args: Any, sites: list[Site], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if len(sites) == 1:
            del self.fields["site"]
            self.only_site: Site | None = sites[0]
        else:
            self.only_site = None
            self.fields["site"].queryset = Site.objects.filter(pk__in=[site.pk for site in sites])  # type: ignore[attr-defined]

    def clean_code(self) -> str:
        kept = as_kept(self.cleaned_data["code"])
        if not is_code(kept):
            raise ValidationError(
                f"Code: a code has {LENGTH} letters and digits, with no vowels and no 0, 1, 2, 5 or 8. "
                "Look at the screen again."
            )
        return kept

    @property
    def site_chosen(self) -> Site:
        return self.only_site or self.cleaned_data["site"]
