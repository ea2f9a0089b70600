"""How much water a soil holds, by the kinds of soil that a society can name."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

EVAPORATION_DEPTH_M = 0.10
KINDS = ("sand", "loam", "silt", "clay", "mix")

_TABLE_19 = "FAO Irrigation and Drainage Paper 56, 1998, table 19, middle of each range (from memory)"
_MIX = (
    f"no published figure for potting mix was found, so silt's stand in, the most a soil holds: {_TABLE_19}"
)


@dataclass(frozen=True, slots=True)
class Soil:
    """Water that one kind of soil holds.

    Parameters
    ----------
    field_capacity, wilting_point : float
        Water left once a wetted soil has drained, and water that plants can no longer take up. [m³/m³]
    readily_evaporable_mm : float
        What a wet surface gives off before it dries and slows (REW). [mm]
    is_heavy : bool
        Whether it smears and sticks above its lower plastic limit.
    source : str
        Where the figures come from.
    """

    field_capacity: float
    wilting_point: float
    readily_evaporable_mm: float
    is_heavy: bool
    source: str

    @property
    def evaporable_mm(self) -> float:
        """All that the top 10 cm can lose to the air (TEW, equation 73). [mm]"""
        return 1000 * (self.field_capacity - 0.5 * self.wilting_point) * EVAPORATION_DEPTH_M

    @property
    def available_mm_per_m(self) -> float:
        """Water between field capacity and wilting point in a metre of soil (equation 82). [mm/m]"""
        return 1000 * (self.field_capacity - self.wilting_point)


SOILS: Mapping[str, Soil] = MappingProxyType(
    {
        "sand": Soil(0.12, 0.045, 4.5, False, _TABLE_19),
        "loam": Soil(0.25, 0.12, 9.0, False, _TABLE_19),
        "silt": Soil(0.32, 0.17, 9.5, True, _TABLE_19),
        "clay": Soil(0.36, 0.22, 10.0, True, _TABLE_19),
        "mix": Soil(0.32, 0.17, 9.5, False, _MIX),
    }
)


def soil_of(kind: str) -> Soil:
    """Return the figures of a kind of soil.

    Raises
    ------
    ValueError
        When the kind is none of sand, loam, silt, clay and mix.
    """
    if kind not in SOILS:
        raise ValueError(f"soil: {kind!r} is not a kind of soil; choose one of {', '.join(SOILS)}")
    return SOILS[kind]
