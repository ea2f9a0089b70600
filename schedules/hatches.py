"""One hatch and one two-letter mark for each botanical family: the same on page, print and screen."""

from collections.abc import Callable, Iterator
from xml.etree.ElementTree import Element, SubElement

MARKS = {
    "Apiaceae": "Ap",
    "Brassicaceae": "Br",
    "Amaryllidaceae": "Al",  # for Allium, since Am is the beet family
    "Solanaceae": "So",
    "Fabaceae": "Fa",
    "Amaranthaceae": "Am",
    "Asteraceae": "As",
    "Cucurbitaceae": "Cu",
    "Poaceae": "Po",
    "Polygonaceae": "Pg",
    "Asparagaceae": "Ag",
    "Rosaceae": "Ro",
    "Caprifoliaceae": "Ca",
}
TILE = 8.0


def mark_of(family: str) -> str:
    """The family's mark; a family without one goes by its first two letters."""
    return MARKS.get(family, family[:2].capitalize())


def hatch_id(family: str) -> str:
    return f"hatch-{mark_of(family).lower()}" if family in MARKS else "hatch-other"


def hatch(family: str) -> Element:
    """The pattern of a family, for the drawing's definitions."""
    pattern = Element(
        "pattern",
        {
            "id": hatch_id(family),
            "width": f"{TILE:g}",
            "height": f"{TILE:g}",
            "patternUnits": "userSpaceOnUse",
            "class": "hatch",
        },
    )
    for path in _PATHS.get(family, _other)():
        SubElement(pattern, "path", {"d": path})
    return pattern


# Diagonals reach over the tile's corners so that neighbouring tiles join without a gap.
def _rising() -> Iterator[str]:
    yield "M-2 2L2 -2M0 8L8 0M6 10L10 6"


def _falling() -> Iterator[str]:
    yield "M-2 6L2 10M0 0L8 8M6 -2L10 2"


def _upright() -> Iterator[str]:
    yield "M2 0V8M6 0V8"


def _level() -> Iterator[str]:
    yield "M0 2H8M0 6H8"


def _crossed() -> Iterator[str]:
    yield from _rising()
    yield from _falling()


def _rings() -> Iterator[str]:
    yield "M2 4a2 2 0 1 0 4 0a2 2 0 1 0 -4 0"


def _plus() -> Iterator[str]:
    yield "M4 1.5V6.5M1.5 4H6.5"


def _waves() -> Iterator[str]:
    yield "M0 4Q2 0 4 4T8 4"


def _chevrons() -> Iterator[str]:
    yield "M0 4L4 0L8 4M0 8L4 4L8 8"


def _steps() -> Iterator[str]:
    yield "M0 6H4V2H8"


def _strokes() -> Iterator[str]:
    yield "M2 0V4M6 4V8"


def _squares() -> Iterator[str]:
    yield "M2 2H6V6H2Z"


def _corners() -> Iterator[str]:
    yield "M2 6V2H6"


def _other() -> Iterator[str]:
    yield "M1 4H4"


_PATHS: dict[str, Callable[[], Iterator[str]]] = {
    "Apiaceae": _rising,
    "Brassicaceae": _falling,
    "Amaryllidaceae": _upright,
    "Solanaceae": _level,
    "Fabaceae": _crossed,
    "Amaranthaceae": _rings,
    "Asteraceae": _plus,
    "Cucurbitaceae": _waves,
    "Poaceae": _chevrons,
    "Polygonaceae": _steps,
    "Asparagaceae": _strokes,
    "Rosaceae": _squares,
    "Caprifoliaceae": _corners,
}
