"""Which problem of the ground a cell means, and whether the writer was sure of it."""

import re
from difflib import get_close_matches
from functools import cache, lru_cache

from plots.record_csv.words import Words, joined, listed, words_of
from plots.rotation import problems
from plots.tables import CellFault

LEAST_LIKENESS, MOST_NEAR = 0.7, 4
# Other common names of problems on the list, from memory.
OTHER_NAMES = {
    "finger and toe": "clubroot", "onion white rot": "white-rot", "allium white rot": "white-rot",
    "potato eelworm": "potato-cyst-nematode", "potato cyst eelworm": "potato-cyst-nematode",
    "beet eelworm": "beet-cyst-nematode", "root knot": "root-knot-nematode",
    "root knot eelworm": "root-knot-nematode", "canker of parsnip": "parsnip-canker",
    "basal rot": "fusarium-basal-rot",
}  # fmt: skip
OTHERWISE = "Only what stays in the ground is kept; move other troubles into the note column."
PERHAPS = {"perhaps", "maybe", "possibly", "probably", "suspected", "unsure", "likely"}
CERTAIN = {"sure", "certain", "confirmed", "definite", "definitely"}
YES = {"yes", "y", "true", "1", "x", "✓", *CERTAIN}
NO = {"no", "n", "false", "0", "not", *PERHAPS}
SEPARATORS = re.compile(r"\s*(?:[,;/&+\n]|\band\b)\s*", re.IGNORECASE)


@lru_cache(maxsize=1024)
def read_problem(text: str) -> tuple[str, bool | None]:
    """The problem's key, and whether it was sure: None where nothing is said. Raises CellFault.

    'clubroot?' and 'perhaps clubroot' are not sure, 'clubroot (confirmed)' is.
    """
    said, is_sure = _certainty(text)
    key = _named(said)
    if key:
        return key, is_sure
    parts = [part for part in SEPARATORS.split(said) if part]
    if len(parts) > 1 and any(_named(part) for part in parts):
        raise CellFault("Several problems stand in one cell.", "Use two rows, one for each problem.")
    near = _near(said)
    if near:
        raise CellFault("No problem on the list is called that.", f"Did you mean {listed(near)}? {OTHERWISE}")
    raise CellFault("No problem of the ground is called that.", OTHERWISE)


def read_yes(text: str) -> bool:
    """Yes or no, as people tick it; an empty cell is no. Raises CellFault."""
    folded = text.casefold().strip(" .")
    if folded in YES:
        return True
    if not folded or folded in NO:
        return False
    raise CellFault("This is neither yes nor no.", "Write yes or no, or leave the cell empty.")


def _certainty(text: str) -> tuple[str, bool | None]:
    words = text.replace("(", " ").replace(")", " ").split()
    kept = [word for word in words if word.casefold().strip("?.,") not in PERHAPS | CERTAIN]
    said = " ".join(kept).strip()
    if "?" in text or len(kept) < len(words):
        marks = {word.casefold().strip("?.,") for word in words}
        return said.replace("?", "").strip(), "?" not in text and not marks & PERHAPS
    return said, None


def _named(text: str) -> str:
    return _by_words().get(words_of(text), "") or _by_joined().get(joined(text), "")


def _near(text: str) -> list[str]:
    words, table = words_of(text), problems()
    held = [
        table[key].name for known, key in _by_words().items() if words and (words < known or known < words)
    ]
    if held:
        return list(dict.fromkeys(held))[:MOST_NEAR]
    names = {problem.name.casefold(): problem.name for problem in table.values()}
    return [names[name] for name in get_close_matches(text.casefold(), names, MOST_NEAR, LEAST_LIKENESS)]


@cache
def _by_words() -> dict[Words, str]:
    found = {words_of(name): key for name, key in OTHER_NAMES.items()}
    for key, problem in problems().items():
        # Half a name of one word, like scab, may be another trouble of another crop.
        halves = [half for half in problem.name.split(" or ") if " " in half]
        for name in (key, problem.name, *halves):
            found.setdefault(words_of(name), key)
    return found


@cache
def _by_joined() -> dict[str, str]:
    return {joined(name): key for key, problem in problems().items() for name in (key, problem.name)}
