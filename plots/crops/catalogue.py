"""Looking a crop up by its key."""

from difflib import get_close_matches
from functools import cache
from pathlib import Path

from plots.crops.facts import Crop
from plots.crops.loading import load_crops

DATA = Path(__file__).parent / "data"


class UnknownCrop(ValueError):
    """No crop has this key; ``near`` holds the keys it may have been meant for."""

    def __init__(self, key: str, known: tuple[str, ...]) -> None:
        self.key = key
        self.near = _near(key, known)
        hint = f"did you mean {', '.join(self.near)}" if self.near else f"known crops: {', '.join(known)}"
        super().__init__(f"unknown crop {key!r}: {hint}")


def _near(key: str, known: tuple[str, ...]) -> tuple[str, ...]:
    wanted = key.strip().lower()
    stems = [name for name in known if wanted and wanted in name]
    close = get_close_matches(wanted, known, n=3, cutoff=0.6)
    # 'carot' is far from 'carrot-maincrop' but near to its first word.
    kinds = get_close_matches(wanted, {name.split("-")[0] for name in known}, n=2, cutoff=0.7)
    alike = [name for name in known if name.split("-")[0] in kinds]
    return tuple(dict.fromkeys(stems + close + alike))


@cache
def _by_key() -> dict[str, Crop]:
    return {each.key: each for each in load_crops(DATA)}


def crops() -> tuple[Crop, ...]:
    """Return every crop, in the order of the data file."""
    return tuple(_by_key().values())


def crop(key: str) -> Crop:
    """Return one crop, or raise UnknownCrop with near matches."""
    known = _by_key()
    try:
        return known[key]
    except KeyError:
        raise UnknownCrop(key, tuple(known)) from None
