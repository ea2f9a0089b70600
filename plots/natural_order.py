"""Numbers of plots and names of beds in the order in which people count: 2 before 10, A2 before A10."""

import re

DIGITS = 12  # of more a number need not have to be set right


def natural_key(name: str) -> str:
    """What to sort by: small letters, with every number written with as many digits as any other."""
    return re.sub(r"[0-9]+", lambda number: number[0].zfill(DIGITS), name.lower())
