"""How much water a soil holds, by the kinds of soil that a society can name."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

EVAPORATION_DEPTH_M = 0.10

_TABLE_19 = "FAO Irrigation and Drainage Paper 56, 1998, table 19, middle of each range (from memory)"
_SAND = f"a sandy plot that is grown on is taken for loamy sand: {_TABLE_19}"
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
    available_mm_per_m : float
        Water between the two, from its own column: middles of ranges do not subtract. [mm/m]
    readily_evaporable_mm : float
        What a wet surface gives off before it dries and slows (REW). [mm]
    is_heavy : bool
        Whether it smears and sticks above its lower plastic limit.
    source : str
        Where the figures come from.
    """

    field_capacity: float
    wilting_point: float
    available_mm_per_m: float
    readily_evaporable_mm: float
    is_heavy: bool
    source: str

    @property
    def evaporable_mm(self) -> float:
        """All that the top 10 cm can lose to the air (TEW, equation 73). [mm]"""
        return 1000 * (self.field_capacity - 0.5 * self.wilting_point) * EVAPORATION_DEPTH_M


SOILS: Mapping[str, Soil] = MappingProxyType(
    {
        "sand": Soil(0.15, 0.065, 90.0, 6.0, False, _SAND),
        "loam": Soil(0.25, 0.12, 155.0, 9.0, False, _TABLE_19),
        "silt": Soil(0.32, 0.17, 180.0, 9.5, True, _TABLE_19),
        "clay": Soil(0.36, 0.22, 160.0, 10.0, True, _TABLE_19),
        "mix": Soil(0.32, 0.17, 180.0, 9.5, False, _MIX),
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
