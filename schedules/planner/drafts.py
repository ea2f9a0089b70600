"""What a rule hands to the chain: a job before order and record have been laid over it."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import NamedTuple

from plots.crops import Crop
from schedules.planner.curves import Curves
from schedules.planner.growth import Growth
from schedules.planner.sowing import Sowing
from schedules.planner.types import Kind, Reason, Record, Scalar, SiteFacts, SowingRequest, Values
from schedules.planner.windows import Span


class Spacing(NamedTuple):
    """Keep a number of days from the latest job of a kind."""

    kind: Kind
    days: int


@dataclass(frozen=True, slots=True)
class Draft:
    kind: Kind
    span: Span
    reason: Reason
    stage: int = 0
    spacing: Spacing | None = None
    notes: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """All that the rules may look at; ``record`` is the part of the record that they heed."""

    request: SowingRequest
    site: SiteFacts
    curves: Curves
    sowing: Sowing
    growth: Growth
    record: Record = field(default_factory=dict)

    @property
    def crop(self) -> Crop:
        return self.request.crop

    def day(self, index: float) -> str:
        """Return a day as it is kept in a reason's values."""
        return iso(self.curves.first, int(index))

    def computed(self, **values: Scalar) -> Values:
        """Return the values of a computed reason, with what the computation rests on."""
        return {**values, **self.curves.basis}

    def is_true(self, fact_name: str) -> bool:
        fact = self.crop.get(fact_name)
        return fact is not None and fact.value is True

    def text(self, fact_name: str) -> str:
        fact = self.crop.get(fact_name)
        return str(fact.value) if fact else ""

    def figure(self, fact_name: str) -> float | None:
        return self.crop.number(fact_name) if self.crop.has(fact_name) else None

    def series(self, fact_name: str) -> tuple[float, ...]:
        fact = self.crop.get(fact_name)
        return fact.value if fact and isinstance(fact.value, tuple) else ()

    def source(self, fact_name: str) -> str:
        fact = self.crop.get(fact_name)
        return fact.source if fact else ""


def iso(first: date, index: int) -> str:
    return (first + timedelta(days=index)).isoformat()


def practice(rule: str, source: str, **values: Scalar) -> Reason:
    """Return a piece of trade advice as a reason."""
    return Reason(rule, values, source)
