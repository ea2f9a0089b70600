"""The pigments of the style sheet, in both schemes: words at 4.5 to 1, lines of a drawing at 3 to 1.

Contrast as WCAG 2.2 defines it (relative luminance of sRGB; success criteria 1.4.3 and 1.4.11).
"""

import re
from pathlib import Path

import pytest

import society

SHEET = Path(society.__file__).parent / "static" / "society" / "commonrow.css"
SCHEMES = ("light", "dark")
WORDS = [
    *[(ink, "paper") for ink in ("ink", "faint", "leaf", "madder", "woad", "soil")],
    *[(ink, "straw") for ink in ("ink", "madder", "woad")],
    ("paper", "woad"),
]
LINES = [("soil", "paper"), ("leaf", "paper"), ("madder", "paper"), ("woad", "paper")]


def pigments(scheme: str) -> dict[str, str]:
    """The variables of the sheet's first (light) and second (dark) root rule."""
    blocks = re.findall(r":root \{(.*?)\}", SHEET.read_text(encoding="utf-8"), re.DOTALL)
    return dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", blocks[SCHEMES.index(scheme)]))


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


def test_black_on_white_is_21_to_1():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("ink", "ground"), WORDS)
def test_words_stand_out(scheme, ink, ground):
    colours = pigments(scheme)

    assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("line", "ground"), LINES)
def test_lines_stand_out(scheme, line, ground):
    colours = pigments(scheme)

    assert contrast(colours[line], colours[ground]) >= 3


def test_the_sheet_loads_nothing():
    sheet = SHEET.read_text(encoding="utf-8")

    assert "url(" not in sheet
    assert "@import" not in sheet
