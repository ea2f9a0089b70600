"""The society's own rules for its ground: rests by family, root after root, crops that failed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from plots.custom_services import LONGEST_REASON
from plots.models import GroundCustoms, SocietyRest
from plots.other_use_families import plain_family_name
from plots.rotation import RestRule, RestWish, rest_rules
from plots.rotation.rest_rules import LONGEST_REST_SEASONS
from schedules.committee_forms.entry import EntryForm, version_field, words_field

SEASONS = f"Give full seasons as a whole number, 0 to {LONGEST_REST_SEASONS}."


@dataclass(frozen=True, slots=True)
class RestFields:
    """The fields of one family beside its published rest."""

    rule: RestRule
    least: forms.BoundField
    advised: forms.BoundField
    because: forms.BoundField
    is_own: bool


class CustomsForm(EntryForm):
    """Every family with a published rest, filled in with what the society keeps now."""

    root_after_root_seasons = forms.IntegerField(
        label="Full seasons between any two root crops; 0 leaves this off",
        min_value=0,
        max_value=LONGEST_REST_SEASONS,
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), SEASONS),
    )
    failed_counts = forms.BooleanField(
        label="A crop that failed and was cleared early counts as having stood", required=False
    )
    version = version_field()

    def __init__(self, data: QueryDict | None, *, row: GroundCustoms, rests: Sequence[SocietyRest]) -> None:
        self.own: Mapping[str, SocietyRest] = {rest.family: rest for rest in rests}
        initial: dict[str, Any] = {
            "root_after_root_seasons": row.root_after_root_seasons,
            "failed_counts": row.failed_counts,
            "version": row.version,
        }
        super().__init__(data, initial=initial)
        for family, rule in rest_rules().items():
            kept = self.own.get(family)
            shown = kept or rule
            self.fields[f"least_{family}"] = _seasons("Least rest", shown.minimum_seasons)
            self.fields[f"advised_{family}"] = _seasons("Rest advised", shown.recommended_seasons)
            self.fields[f"because_{family}"] = words_field(
                "Reason, needed where a rest is shorter than the published one",
                most=LONGEST_REASON, missing="", required=False, initial=kept.because if kept else "",
            )  # fmt: skip

    @property
    def families(self) -> list[RestFields]:
        return [
            RestFields(
                rule, self[f"least_{family}"], self[f"advised_{family}"], self[f"because_{family}"],
                family in self.own,
            )
            for family, rule in rest_rules().items()
        ]  # fmt: skip

    @property
    def wish(self) -> dict[str, Any]:
        known = self.cleaned_data
        return {
            "rests": {
                family: RestWish(
                    known[f"least_{family}"], known[f"advised_{family}"], known[f"because_{family}"]
                )
                for family in rest_rules()
            },
            **{name: known[name] for name in ("root_after_root_seasons", "failed_counts", "version")},
        }

    def _field_for(self, name: str) -> str | None:
        """What the service says of a family stands with its reason, below both of its rests."""
        return super()._field_for(f"because_{name}" if name in rest_rules() else name)

    def _value_of(self, row: Any, name: str) -> str:
        if name != "rests":
            return super()._value_of(row, name)
        said = [
            f"{plain_family_name(each.family)} {each.minimum_seasons} and {each.recommended_seasons}"
            for each in row.society.rests.all()
        ]
        return "; ".join(said) or "as published"


def _seasons(label: str, initial: int) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=LONGEST_REST_SEASONS,
        initial=initial,
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), SEASONS),
    )
