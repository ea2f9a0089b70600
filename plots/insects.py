"""Which insects a site may have: the names that crop facts use."""

from django.core.exceptions import ValidationError

from plots.crops import INSECTS


def all_insects() -> list[str]:
    """Until somebody says otherwise, every insect is taken to be about."""
    return sorted(INSECTS)


def validate_insects(value: object) -> None:
    """Refuse anything but a list of known names, each once."""
    known = isinstance(value, list) and all(each in INSECTS for each in value)
    if not known or len(set(value)) != len(value):  # type: ignore[arg-type]
        raise ValidationError(f"insects: a list of names, each once, out of {', '.join(sorted(INSECTS))}.")
