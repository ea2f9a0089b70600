"""Which part of which bed a cell means. What was remembered roughly is kept roughly, and says so."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from difflib import get_close_matches

from plots.natural_order import natural_key
from plots.record_csv.words import listed
from plots.tables import CellFault

WHOLE = frozenset({"whole", "all", "entire", "full", "everywhere", "over", "throughout"})
ROUGH = frozenset({
    "about", "approx", "approximately", "around", "roughly", "nearly", "almost", "most", "some", "somewhere",
    "part", "bit", "piece", "ca", "c", "circa", "left", "right", "top", "bottom", "front", "back", "middle",
    "centre", "center", "near", "far", "end", "side", "corner", "edge", "strip", "row", "rows", "upper",
    "lower", "first", "last", "other",
})  # fmt: skip
IDLE = frozenset({
    "the", "a", "an", "of", "in", "on", "at", "to", "by", "its", "it", "that", "this", "plot", "ground",
    "from",
})  # fmt: skip
SIDES = {
    "n": "north", "s": "south", "e": "east", "w": "west", "ne": "north-east", "nw": "north-west",
    "se": "south-east", "sw": "south-west", "northeast": "north-east", "northwest": "north-west",
    "southeast": "south-east", "southwest": "south-west",
}  # fmt: skip
SIDES |= {
    f"{side}{end}": side for side in ("north", "south", "east", "west") for end in ("", "ern", "erly", "ward")
}
SHARES = {
    "half": 1 / 2, "halves": 1 / 2, "½": 1 / 2, "1/2": 1 / 2, "third": 1 / 3, "thirds": 1 / 3, "⅓": 1 / 3,
    "1/3": 1 / 3, "⅔": 2 / 3, "2/3": 2 / 3, "quarter": 1 / 4, "quarters": 1 / 4, "¼": 1 / 4, "1/4": 1 / 4,
    "¾": 3 / 4, "3/4": 3 / 4, "fifth": 1 / 5, "1/5": 1 / 5,
}  # fmt: skip
COUNTS = {"one": 1, "two": 2, "three": 3}
TOKEN = re.compile(r"\d/\d|\d{1,3}\s?%|[½⅓⅔¼¾]|[^\W\d_]+|\d+")


@dataclass(frozen=True, slots=True)
class Place:
    """A bed, or the plot itself where ``bed`` is empty; ``side`` is a wind, ``share`` how much of it.

    ``is_rough`` says that it was somewhere on that ground, and where exactly nobody knows.
    """

    bed: str = ""
    side: str = ""
    share: float | None = None
    is_rough: bool = False


def read_place(bed_text: str, part_text: str, bed_names: Collection[str]) -> Place:
    """Match a bed and the words for a part of it against the beds of the plot; raises CellFault.

    Nothing at all is 'somewhere on the plot'. A bed's name alone is the whole bed.
    """
    bed, rest = _bed_of(bed_text, bed_names)
    _refuse_several(rest, bed, bed_names)
    words = _Words(f"{rest} {part_text}")
    if words.unknown and not bed:
        raise _no_such_bed(bed_text, bed_names)
    if words.unknown:
        raise CellFault(
            f"{words.unknown} names no part of a bed.",
            "Write whole, half, a third, north half and the like, or leave it out.",
        )
    if not bed and words.says_bed:
        bed = _only_bed(bed_names)
    return Place(bed, words.side, words.share, words.is_rough or (not bed and not words.is_whole))


class _Words:
    """What the words beside a bed's name come to."""

    def __init__(self, text: str) -> None:
        self.side, self.unknown = "", ""
        self.share: float | None = None
        self.says_bed = self.is_whole = self.is_rough = False
        sides: list[str] = []
        count = 1
        for token in TOKEN.findall(text.casefold()):
            if token in SIDES:
                sides.append(SIDES[token])
            elif token in SHARES or token.endswith("%"):
                self._take_share(token, count)
            elif token in COUNTS:
                count = COUNTS[token]
            elif token in {"bed", "beds"}:
                self.says_bed = True
            elif token in WHOLE:
                self.is_whole = True
            elif token in ROUGH:
                self.is_rough = True
            elif token not in IDLE and not self.unknown:
                self.unknown = f"“{token[:40]}”"
        self._take_sides(sides)
        if self.is_rough and not (self.share or self.side):
            self.is_whole = False

    def _take_share(self, token: str, count: int) -> None:
        share = float(token.rstrip("% ")) / 100 if token.endswith("%") else SHARES[token] * count
        if 0 < share < 1:
            self.share, self.is_rough = share, True
        elif share == 1:
            self.is_whole = True
        else:
            self.unknown = f"“{token}”"

    def _take_sides(self, sides: list[str]) -> None:
        if not sides:
            return
        self.is_rough = True
        joined = "-".join(dict.fromkeys(sides))
        known = {*SIDES.values()}
        turned = "-".join(reversed(joined.split("-")))
        if joined in known or turned in known:
            self.side = joined if joined in known else turned
        # North and south at once is somewhere on the whole of it.


def _bed_of(text: str, names: Collection[str]) -> tuple[str, str]:
    """The bed whose name the text is or holds, the longest first, and what is left of the text."""
    folded = _folded(text)
    by_name = {_folded(name): name for name in names}
    short = {key.removeprefix("bed "): name for key, name in by_name.items() if key.startswith("bed ")}
    exact = by_name.get(folded) or short.get(folded)
    if exact:
        return exact, ""
    for key in sorted(by_name, key=len, reverse=True):
        match = re.search(rf"(?<!\w){re.escape(key)}(?!\w)", folded)
        if match:
            return by_name[key], folded[: match.start()] + " " + folded[match.end() :]
    return "", folded


def _refuse_several(rest: str, bed: str, names: Collection[str]) -> None:
    """Two beds in one cell; the letter of a bed alone counts where another stands beside it."""
    short = {_folded(name).removeprefix("bed ") for name in names} - {_folded(bed).removeprefix("bed ")}
    said = {token for token in re.findall(r"[^\W_]+", rest) if token in short}
    if len(said) + bool(bed) > 1 and (bed or re.search(r"[/+&,;]|\band\b|\bbeds\b", rest)):
        raise CellFault("Several beds stand in one cell.", "Use a row for each bed.")


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def _only_bed(names: Collection[str]) -> str:
    if len(names) == 1:
        return next(iter(names))
    if not names:
        raise CellFault("The plot has no bed in the book.", "Leave the cell empty, or write plot.")
    raise CellFault("Which bed is not said.", f"Name it: {listed(sorted(names, key=natural_key))}.")


def _no_such_bed(text: str, names: Collection[str]) -> CellFault:
    by_name = {_folded(name): name for name in names}
    near = [by_name[key] for key in get_close_matches(_folded(text), by_name, 3, 0.6)]
    remedy = f"Did you mean {listed(near)}?" if near else _beds_words(sorted(names, key=natural_key))
    return CellFault("The plot has no bed of that name.", remedy)


def _beds_words(names: list[str]) -> str:
    if not names:
        return "It has none in the book: lay it out first, or leave the cell empty for somewhere on the plot."
    shown = listed(names[:6]) if len(names) <= 6 else f"{listed(names[:6])} and others"
    return f"It has {shown}. Leave the cell empty for somewhere on the plot."
