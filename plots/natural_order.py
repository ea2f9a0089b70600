"""Numbers of plots and names of beds in the order in which people count: 2 before 10, A2 before A10."""

import re
from typing import TypeAlias

NaturalKey: TypeAlias = list[tuple[int, str]]


def natural_key(name: str) -> NaturalKey:
    """What to sort by: runs of digits as numbers, all else as small letters, words before numbers."""
    parts = re.findall(r"\d+|\D+", name.lower())
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in parts]
