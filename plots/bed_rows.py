"""A row of equal beds typed in one line, '6 beds of 1.2 x 5 m, paths 0.4 m', and where they lie. Pure.

The reader forgives: x, × or by; m, cm, ft and in; a decimal comma; 'six'; any order. What it cannot read it
says, with what it expected.
"""

import math
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from plots.bed_shapes import turned
from plots.measures import INCHES_PER_FOOT, METRES_PER_FOOT, METRES_PER_INCH, METRES_PER_YARD, length_words
from plots.outlines import Corners
from plots.placing import Strip, strip_outline

EXAMPLE = "6 beds of 1.2 x 5 m, paths 0.4 m"
MOST_BEDS = 60
NARROWEST_M, LONGEST_M, WIDEST_PATH_M = 0.2, 100.0, 10.0
# Between nothing and this nobody sets a foot: a unit was meant and not said. Common practice.
NARROWEST_PATH_M = 0.05
LONGEST_LINE = 200

_UNITS = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), 0.01),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 0.001),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), METRES_PER_FOOT),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), METRES_PER_YARD),
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), METRES_PER_INCH),
}
_COUNT_WORDS = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
)  # fmt: skip
_COUNTS = {word: number for number, word in enumerate(_COUNT_WORDS, start=1)}
_WORDS = {
    **dict.fromkeys(("x", "×", "✕", "*", "by", "times"), "x"),
    **dict.fromkeys(("bed", "beds", "strip", "strips"), "bed"),
    **dict.fromkeys(("path", "paths", "gap", "gaps", "walkway", "walkways", "apart"), "path"),
    **dict.fromkeys(("wide", "width", "broad", "across"), "wide"),
    **dict.fromkeys(("long", "length"), "long"),
}
_PASSED_OVER = frozenset({
    "a", "an", "the", "of", "with", "and", "each", "in", "row", "rows", "equal", "between", "them", "every",
    "all", "at", "is", "are", "raised", "open", "about", ",", ";", ":", ".", "(", ")", "&", "+", "-",
})  # fmt: skip
_HALVES = {"½": ".5", "¼": ".25", "¾": ".75", "1/2": ".5", "1/4": ".25", "3/4": ".75"}
_NO_PATHS = re.compile(r"\b(?:no|without(?: any)?) (paths?|gaps?|walkways?)\b")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|\.\d+")
_TOKEN = re.compile(r"[-−]?(?:\d+(?:[.,]\d+)?|\.\d+)|[^\W\d_]+|\S")


class BedRowFault(ValueError):
    """A line that says no row of beds; the words say what was expected instead."""


@dataclass(frozen=True, slots=True)
class BedRow:
    """So many equal beds side by side, with a path between each two. [m]"""

    count: int
    length_m: float
    width_m: float
    path_m: float

    @property
    def breadth_m(self) -> float:
        """From the first bed's outer edge to the last one's."""
        return self.count * self.width_m + (self.count - 1) * self.path_m

    @property
    def words(self) -> str:
        """'6 beds, each 5 m long and 1.2 m wide, 0.4 m of path between: 9.2 m by 5 m in all.'"""
        many = f"{self.count} beds, each" if self.count > 1 else "One bed,"
        path = f", {length_words(self.path_m)} of path between" if self.count > 1 else ""
        sides = f"{length_words(self.length_m)} long and {length_words(self.width_m)} wide"
        return (
            f"{many} {sides}{path}: {length_words(self.breadth_m)} by {length_words(self.length_m)} in all."
        )


@dataclass(frozen=True, slots=True)
class _Item:
    """A number with its unit, or one of the words that mean something; ``said`` as it was typed."""

    kind: str
    said: str
    value: float = 0.0
    unit_m: float | None = None
    side: str = ""


def bed_row_read(line: str) -> BedRow:
    """Read a row of beds. BedRowFault says what could not be read, and how to write it."""
    if not line.strip():
        raise _fault("nothing is typed")
    if len(line) > LONGEST_LINE:
        raise _fault(f"the line has {len(line)} letters; say it in {LONGEST_LINE}")
    items = _labelled(_feet_and_inches(list(_items(line))))
    items, count = _count_taken(items)
    items, path = _path_taken(items)
    if count > 1 and path is None:
        raise _fault("it does not say how wide the paths between the beds are; add it, like: paths 0.4 m")
    one, other = _sides(items)
    given = other.unit_m or one.unit_m
    sides = [_metres(each, given) for each in (one, other)]
    _refuse_unlikely(sides, (one, other), given)
    if one.side == "wide" or other.side == "long":
        width_m, length_m = sides
    elif one.side == "long" or other.side == "wide":
        length_m, width_m = sides
    else:
        width_m, length_m = sorted(sides)
    path_m = _path_m(path, given) if path else 0.0
    return BedRow(count, round(length_m, 4), round(width_m, 4), round(path_m, 4))


def row_outlines(
    plot_outline: Corners, row: BedRow, *, along_m: float, across_m: float, stands_away: bool, turn_deg: float
) -> list[Corners]:
    """Outlines of the beds on the plot's own grid, each with its length as its first side.

    The row's corner lies ``along_m`` along the plot's first side and ``across_m`` into the plot. The beds lie
    along that side, one behind the other, or, where ``stands_away``, reach away from it side by side. The
    whole row is then turned anticlockwise about its corner.
    """
    found = []
    for number in range(row.count):
        step = number * (row.width_m + row.path_m)
        if stands_away:
            strip = Strip(row.width_m, row.length_m, along_m + step, across_m)
            corners = strip_outline(plot_outline, strip)
            outline = corners[1:] + corners[:1]
        else:
            outline = strip_outline(plot_outline, Strip(row.length_m, row.width_m, along_m, across_m + step))
        found.append(outline)
    if turn_deg:
        x, y = strip_outline(plot_outline, Strip(1.0, 1.0, along_m, across_m))[0]
        found = [turned(outline, turn_deg, about=(x, y)) for outline in found]
    return found


def names_free(count: int, taken: Collection[str]) -> list[str]:
    """'bed 1', 'bed 2' …: the lowest numbers that no other bed has."""
    known = {name.strip().casefold() for name in taken}
    found: list[str] = []
    number = 1
    while len(found) < count:
        if f"bed {number}" not in known:
            found.append(f"bed {number}")
        number += 1
    return found


def _fault(what: str) -> BedRowFault:
    return BedRowFault(f"{what}. Write it like: {EXAMPLE}")


def _items(line: str) -> Iterator[_Item]:
    text = _NO_PATHS.sub(r"\1 0 m", " ".join(line.casefold().split()))
    for half, decimals in _HALVES.items():
        text = re.sub(rf"(?<=\d)[ -]?{half}(?!\d)", decimals, text)
        text = re.sub(rf"(?<!\d){half}(?!\d)", f"0{decimals}", text)
    text = re.sub(r"(?<=\d)-(?=[^\W\d_])", " ", text)  # 18-inch
    tokens = [match.group() for match in _TOKEN.finditer(text)]
    at = 0
    while at < len(tokens):
        token = tokens[at]
        at += 1
        if token[0] in "-−" and len(token) > 1:
            raise _fault(f"“{token}” is below nothing")
        if _NUMBER.fullmatch(token):
            unit = _UNITS.get(tokens[at]) if at < len(tokens) else None
            said = f"{token} {tokens[at]}" if unit else token
            at += unit is not None
            yield _Item("number", said, float(token.replace(",", ".")), unit)
        elif token in {",", ";"}:
            yield _Item("stop", token)
        elif token in _COUNTS:
            yield _Item("number", token, float(_COUNTS[token]))
        elif token in _WORDS:
            yield _Item(_WORDS[token], token)
        elif token in _UNITS and token not in _PASSED_OVER:
            raise _fault(f"“{token}” stands without a number before it")
        elif token not in _PASSED_OVER:
            raise _fault(f"“{token[:30]}” is not understood")


def _feet_and_inches(items: list[_Item]) -> list[_Item]:
    """4 ft 6 in is one length; 4 ft, 6 in are two, and 4 ft 18 in as well."""
    found: list[_Item] = []
    for item in items:
        before = found[-1] if found else None
        is_under_a_foot = item.unit_m == METRES_PER_INCH and item.value < INCHES_PER_FOOT
        if before and before.unit_m == METRES_PER_FOOT and is_under_a_foot:
            feet = before.value + item.value * METRES_PER_INCH / METRES_PER_FOOT
            found[-1] = replace(before, value=feet, said=f"{before.said} {item.said}")
        else:
            found.append(item)
    return [item for item in found if item.kind != "stop"]


def _labelled(items: list[_Item]) -> list[_Item]:
    """Hang 'wide' and 'long' on the number that they follow."""
    found: list[_Item] = []
    for item in items:
        if item.kind in ("wide", "long"):
            if found and found[-1].kind == "number":
                found[-1] = replace(found[-1], side=item.kind)
        else:
            found.append(item)
    return found


def _count_taken(items: list[_Item]) -> tuple[list[_Item], int]:
    """The number before 'beds'; without that word, a first whole number without a unit before two sides."""
    kinds = [item.kind for item in items]
    at = next((n for n in range(len(items) - 1) if kinds[n : n + 2] == ["number", "bed"]), None)
    if at is None and kinds[:5] == ["number", "x", "number", "x", "number"]:
        at = 0
    if at is None:
        if kinds[:1] == ["bed"] and kinds.count("number") == 2:
            return [item for item in items if item.kind != "bed"], 1  # 'a bed of 1.2 x 5 m'
        raise _fault("it does not say how many beds")
    item = items[at]
    if item.unit_m is not None or item.value != int(item.value):
        raise _fault(f"“{item.said}” is no number of beds; give a whole number without a unit")
    if not 1 <= item.value <= MOST_BEDS:
        raise _fault(f"{item.value:g} beds are not laid at once; give 1 to {MOST_BEDS}")
    rest = items[:at] + items[at + 2 :]
    return [each for each in rest if each.kind != "bed"], int(item.value)


def _path_taken(items: list[_Item]) -> tuple[list[_Item], _Item | None]:
    """The number after 'paths', or the one before it."""
    at = next((n for n, item in enumerate(items) if item.kind == "path"), None)
    if at is None:
        return items, None
    kinds = [item.kind for item in items]
    if kinds[at + 1 : at + 2] == ["number"] and kinds[at + 2 : at + 3] != ["x"]:
        where = at + 1
    elif at and kinds[at - 1] == "number" and kinds[max(at - 2, 0)] != "x":
        where = at - 1
    else:
        raise _fault("it does not say how wide the paths are; give it beside the word, like: paths 0.4 m")
    rest = [item for n, item in enumerate(items) if n != where and item.kind != "path"]
    return rest, items[where]


def _sides(items: list[_Item]) -> tuple[_Item, _Item]:
    numbers = [item for item in items if item.kind == "number"]
    if len(numbers) < 2:
        raise _fault("it does not say how wide and how long one bed is; give both, like: 1.2 x 5 m")
    if len(numbers) > 2:
        raise _fault(f"it is not clear what “{numbers[2].said}” measures; give two sides and one path")
    one, other = numbers
    if "x" not in {item.kind for item in items} and not (one.side or other.side):
        raise _fault(f"“{one.said} {other.said}” needs an x between the two sides of a bed")
    return one, other


def _metres(item: _Item, given: float | None) -> float:
    return item.value * (item.unit_m or given or 1.0)


def _refuse_unlikely(sides: list[float], items: tuple[_Item, _Item], given: float | None) -> None:
    for side, item in zip(sides, items, strict=True):
        if not (math.isfinite(side) and NARROWEST_M <= side <= LONGEST_M):
            unit = "" if item.unit_m or given else " without a unit is read as metres, and"
            raise _fault(
                f"“{item.said}”{unit} is no side of a bed; give {NARROWEST_M:g} to {LONGEST_M:g} m, with "
                "its unit"
            )


def _path_m(path: _Item, given: float | None) -> float:
    path_m = _metres(path, given)
    if path_m > WIDEST_PATH_M or (path.unit_m is None and 0 < path_m < NARROWEST_PATH_M):
        made = f"{path_m * 100:.2g} cm" if path_m < 1 else length_words(path_m)
        raise _fault(f"“{path.said}” makes paths of {made}; give its unit, like 40 cm")
    return path_m
