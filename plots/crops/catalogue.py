"""Looking a crop up by its key."""

from difflib import SequenceMatcher
from functools import cache
from pathlib import Path

from plots.crops.facts import Crop
from plots.crops.loading import load_crops

LEAST_LIKENESS, MOST_NEAR = 0.65, 5
DATA = Path(__file__).parent / "data"


class UnknownCrop(ValueError):
    """No crop has this key; ``near`` holds the keys it may have been meant for."""

    def __init__(self, key: str, known: tuple[str, ...]) -> None:
        self.key = key
        self.near = _near(key, known)
        hint = f"did you mean {', '.join(self.near)}" if self.near else f"known crops: {', '.join(known)}"
        super().__init__(f"unknown crop {key!r}: {hint}")


def _near(key: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Return the keys that hold what was asked for, else the likest, likest first."""
    wanted = "-".join(key.lower().split())
    held = tuple(name for name in known if wanted and wanted in name)
    if held or not wanted:
        return held
    likeness = {name: _likeness(wanted, name) for name in known}
    likest = sorted(
        (name for name in known if likeness[name] >= LEAST_LIKENESS), key=lambda name: -likeness[name]
    )
    return tuple(likest[:MOST_NEAR])


def _likeness(wanted: str, name: str) -> float:
    """Return how like a key or any of its words is: 'carot' is far from 'carrot-early', near 'carrot'."""
    return max(SequenceMatcher(None, wanted, each).ratio() for each in (name, *name.split("-")))


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
