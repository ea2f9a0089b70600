"""What is known about a crop, one fact at a time, each with where it came from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

FactValue = float | str | bool | tuple[float, ...]
GrownFrom = Literal["seed", "set", "tuber", "clove", "transplant", "crown", "cutting", "runner", "offset"]


class Basis(StrEnum):
    """How far a figure can be relied on."""

    READ = "read"
    PARTLY = "partly read"
    MEMORY = "from memory"
    PRACTICE = "common practice"
    DERIVED = "derived"


class MissingFact(LookupError):
    """A crop has no figure under this name."""

    def __init__(self, crop_key: str, fact_name: str) -> None:
        self.crop_key = crop_key
        self.fact_name = fact_name
        super().__init__(
            f"{crop_key}: no fact named {fact_name!r}; test with Crop.has() or read with Crop.get()"
        )


@dataclass(frozen=True, slots=True)
class Fact:
    """One value, its unit, and the printable text of its source."""

    name: str
    value: FactValue
    unit: str
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True)
class GerminationTable:
    """Days from sowing to emergence in moist soil held at one temperature.

    The tuples run together, coldest first. ``days`` is None where ``status`` is not "measured"
    ("no_germination" or "not_tested"); ``seedlings_pct`` is the share of normal seedlings,
    None where untested.
    """

    key: str
    soil_c: tuple[float, ...]
    days: tuple[float | None, ...]
    status: tuple[str, ...]
    seedlings_pct: tuple[float | None, ...]
    sowing_depth_mm: float
    source: str

    @property
    def stand(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Soil temperatures [°C] at which the share of normal seedlings is known, and that share. [%]"""
        known = [
            (soil_c, share)
            for soil_c, share in zip(self.soil_c, self.seedlings_pct, strict=True)
            if share is not None
        ]
        return tuple(soil_c for soil_c, _ in known), tuple(share for _, share in known)


@dataclass(frozen=True, slots=True)
class Crop:
    """A crop as the planner meets it; early and maincrop sorts are separate crops.

    ``thin_after_days`` and ``weed_after_days`` count from emergence, or from planting for what is planted.
    ``name_in_text`` is the name as it stands within a sentence. ``gaps`` says why a figure is not there.
    """

    key: str
    name: str
    botanical_name: str
    family: str
    grown_from: GrownFrom
    facts: Mapping[str, Fact]
    germination: GerminationTable | None
    name_in_text: str
    gaps: Mapping[str, str] = field(default_factory=dict)

    def fact(self, name: str) -> Fact:
        """Return the named fact, or raise MissingFact."""
        try:
            return self.facts[name]
        except KeyError:
            raise MissingFact(self.key, name) from None

    def get(self, name: str) -> Fact | None:
        return self.facts.get(name)

    def has(self, name: str) -> bool:
        return name in self.facts

    @property
    def is_perennial(self) -> bool:
        """Whether it keeps its ground for years, and is not moved from bed to bed."""
        kind = self.get("crop_type")
        return kind is not None and kind.value == "perennial"

    def number(self, name: str) -> float:
        """Return the value of a numeric fact, in the fact's own unit."""
        value = self.fact(name).value
        if not isinstance(value, float):
            raise TypeError(f"{self.key}: fact {name!r} is {value!r}, not a number; read it with Crop.fact()")
        return value
