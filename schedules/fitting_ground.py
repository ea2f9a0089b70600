"""What else would fit: families and crops that are sound on some ground, as pages name them."""

from dataclasses import dataclass

from plots.crops import Crop
from plots.fitting_selectors import crops_fitting
from plots.models import Sowing
from plots.other_use_families import plain_family_name
from schedules.hatches import mark_of


@dataclass(frozen=True, slots=True)
class FittingFamily:
    """One family and those of its crops that would be sound."""

    mark: str
    family_name: str
    crops: tuple[Crop, ...]


def families_fitting(
    sowing: Sowing, *, current_season: int, but: Sowing | None = None
) -> tuple[FittingFamily, ...]:
    """By family, in the order of their plain names."""
    found: dict[str, list[Crop]] = {}
    for crop in crops_fitting(sowing, current_season=current_season, but=but):
        found.setdefault(crop.family, []).append(crop)
    rows = [
        FittingFamily(mark_of(family), plain_family_name(family), tuple(crops))
        for family, crops in found.items()
    ]
    return tuple(sorted(rows, key=lambda row: row.family_name))
