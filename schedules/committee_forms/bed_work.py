"""Work on beds, looked at before it is kept: what its forms have in common."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, ClassVar

from django import forms

from plots.bed_drafts import BedPlan, Digging, beds_drafted
from plots.bed_rows import BedRowFault
from plots.bed_shapes import CutFault
from plots.models import Bed, Plot
from plots.outlines import Corners
from schedules.committee_forms.entry import LookedAtForm


class DegreesField(forms.FloatField):
    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.NumberInput(attrs={"step": "any"}))
        invalid = "This is not an angle. Give degrees, like 15."
        super().__init__(error_messages={"invalid": invalid}, **kwargs)


class BedWork(LookedAtForm):
    """A wish for some beds of one plot. ``action`` is what the journal calls it."""

    at_field: ClassVar[dict[str, str]] = {}
    action: ClassVar[str] = "bed.closed"

    def __init__(self, *args: Any, plot: Plot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plot = plot
        self.wished: list[Corners] = []  # where the new beds would lie, also when they cannot

    @property
    def closing(self) -> Sequence[Bed]:
        return ()

    @property
    def closing_now(self) -> Sequence[Bed]:
        """The beds that it is about before anything is typed."""
        return ()

    def plans(self) -> list[BedPlan]:
        """The new beds; may raise ValidationError, CutFault or BedRowFault."""
        raise NotImplementedError

    def said(self) -> str:
        """How the wish was read, where it was typed in words."""
        return ""

    def drafted(self, now: datetime) -> Digging | None:
        """The wish judged; None where it is refused, with the reasons at their fields."""
        if not self.is_valid():
            return None
        try:
            plans = self.plans()
            self.wished = [plan.outline for plan in plans]
            return beds_drafted(
                plot=self.plot, closing=self.closing, plans=plans, on=self.cleaned_data["on"], now=now
            )
        except (CutFault, BedRowFault) as fault:
            self.refuse(forms.ValidationError({self.cut_field: [str(fault)]}))
        except forms.ValidationError as fault:
            self.refuse(fault)
        return None

    cut_field: ClassVar[str] = ""
