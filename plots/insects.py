"""Which insects a site may have: the names that crop facts use."""

from django.core.exceptions import ValidationError

from plots.crops import INSECTS


def all_insects() -> list[str]:
    """Until somebody says otherwise, every insect is taken to be about."""
    return sorted(INSECTS)


def validate_insects(value: object) -> None:
    """Refuse anything but a list of known names, each once."""
    names: list[object] = value if isinstance(value, list) else [None]
    if len(set(map(str, names))) != len(names) or any(each not in INSECTS for each in names):
        raise ValidationError(f"insects: a list of names, each once, out of {', '.join(sorted(INSECTS))}.")
