"""When a site's growing year begins: proposed once from its climate, and then left alone."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError

MONTHS = 12
# Without normals: the middle of winter on either half of the globe.
COLDEST_MONTH_NORTH, COLDEST_MONTH_SOUTH = 1, 7


def season_start_proposed(mean_c: Sequence[float]) -> tuple[int, int]:
    """Month and day on which the season should begin: the first day of the coldest month.

    ``mean_c`` holds twelve monthly means, January first; of equally cold months the earlier one is taken.
    """
    if len(mean_c) != MONTHS:
        raise ValidationError({"mean_c": f"twelve monthly means are needed, not {len(mean_c)}; add the rest"})
    return min(range(MONTHS), key=lambda month: mean_c[month]) + 1, 1


def season_start_guessed(latitude: float) -> tuple[int, int]:
    """Month and day for a site whose normals are not known yet."""
    return (COLDEST_MONTH_NORTH if latitude >= 0 else COLDEST_MONTH_SOUTH), 1
