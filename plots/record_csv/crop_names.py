"""Which crop, green manure or family a cell means. Nothing is guessed: what is near is asked about."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache

from plots.crops import Crop, crops
from plots.record_csv.rows import What
from plots.record_csv.words import Words, joined, listed, words_of
from plots.rotation import green_manures, rest_rules
from plots.tables import CellFault

LEAST_LIKENESS, LEAST_WORD, MOST_NEAR, LONGEST_NAME = 0.7, 3, 4, 60
# Other common English names of crops on the list, from memory.
OTHER_NAMES = {
    "zucchini": "courgette", "marrow": "courgette", "summer squash": "courgette", "squash": "winter-squash",
    "pumpkin": "winter-squash", "eggplant": "aubergine", "rutabaga": "swede", "arugula": "rocket",
    "cilantro": "coriander", "scallion": "spring-onion", "corn": "sweetcorn", "maize": "sweetcorn",
    "swiss chard": "chard", "leaf beet": "chard", "bok choy": "pak-choi", "lamb's lettuce": "corn-salad",
    "capsicum": "pepper", "bell pepper": "pepper", "fava bean": "broad-bean", "haricot": "french-bean",
    "haricot bean": "french-bean", "green bean": "french-bean", "dwarf bean": "french-bean",
    "string bean": "french-bean", "mangetout": "pea", "sugar pea": "pea", "garden pea": "pea",
    "sprouts": "brussels-sprouts", "curly kale": "kale", "borecole": "kale", "celery root": "celeriac",
    "daikon": "winter-radish", "mooli": "winter-radish", "oyster plant": "salsify", "gherkin": "cucumber",
    "fennel": "florence-fennel", "parsley root": "hamburg-parsley", "sunchoke": "jerusalem-artichoke",
}  # fmt: skip
OTHER_MANURES = {"rye": "grazing-rye", "lupin": "blue-lupin", "tare": "winter-tares"}
# Parts of names that say nothing of what it was.
NO_NOUNS = frozenset({"root", "field"})
# Names that several crops of the list share; those of one family are kept by that family.
SHARED_NAMES = {
    "broccoli": ("calabrese", "purple-sprouting-broccoli"),
    "beet": ("beetroot-early", "beetroot-maincrop"),
    "spud": ("potato-early", "potato-second-early", "potato-maincrop"),
}
# What people call families. Cruciferae, Leguminosae, Umbelliferae, Compositae and Gramineae are other valid
# names: International Code of Nomenclature for algae, fungi, and plants (Shenzhen Code, 2018), Article 18.5.
# The English words are from memory.
FAMILY_WORDS = {
    "brassica": "Brassicaceae", "crucifer": "Brassicaceae", "cruciferae": "Brassicaceae",
    "allium": "Amaryllidaceae", "alliaceae": "Amaryllidaceae", "legume": "Fabaceae", "pulse": "Fabaceae",
    "leguminosae": "Fabaceae", "umbellifer": "Apiaceae", "umbelliferae": "Apiaceae",
    "nightshade": "Solanaceae", "cucurbit": "Cucurbitaceae", "goosefoot": "Amaranthaceae",
    "chenopod": "Amaranthaceae", "chenopodiaceae": "Amaranthaceae", "composite": "Asteraceae",
    "compositae": "Asteraceae", "gramineae": "Poaceae", "grass": "Poaceae", "cereal": "Poaceae",
}  # fmt: skip
NOTHING = {"fallow", "nothing", "empty", "none", "bare", "resting", "not used", "unused", "-", "–", "—"}
SEPARATORS = re.compile(r"\s*(?:[,;/&+\n]|\band\b|\bthen\b|\bwith\b)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Known:
    """One entry of the lists with the words that it goes by."""

    words: Words
    shown: str
    what: What


@lru_cache(maxsize=4096)
def read_crop(text: str) -> What:
    """The crop, green manure or family that a cell means; raises CellFault.

    A name that several crops of one family share is kept by that family, under the name given.
    """
    found = _named(text)
    if found is not None:
        return found
    parts = [part for part in SEPARATORS.split(text) if part]
    if len(parts) > 1 and any(_named(part) for part in parts):
        raise CellFault("Several crops stand in one cell.", "Use two rows, one for each crop.")
    near = _near(text)
    if near:
        raise CellFault("No crop is called that.", f"Did you mean {listed(near)}?")
    held = _held(text)
    if held:
        remedy = f"Write {held} here, and the rest into a column variety or note."
        raise CellFault(f"No crop is called all of that, though {held} is known.", remedy)
    raise CellFault(
        "No crop, green manure or family is called that.",
        "Write a crop of the list, or its family, like “cabbage family” or “some brassica”; anything else "
        "keeps its own name with its family in a column family.",
    )


def read_with_family(name: str, family_text: str) -> What:
    """What grew by its family alone, whatever it is called; raises CellFault."""
    family = _family(family_text, words_of(family_text))
    if not family:
        raise CellFault("No family is called that.", "Write one like Asteraceae or lettuce family.")
    known = _named(name) if name else None
    return What(name or _own_name(family_text), family, is_root=known is not None and known.is_root)


def is_nothing(text: str) -> bool:
    """Whether a cell says that nothing grew."""
    return " ".join(text.casefold().split()) in NOTHING


def _named(text: str) -> What | None:
    words = words_of(text)
    if not words:
        return None
    exact = _by_words().get(words) or _by_joined().get(joined(text))
    if exact is not None:
        return exact
    family = _family(text, words)
    if family:
        return What(_own_name(text), family)
    return _shared(text, words)


def _shared(text: str, words: Words) -> What | None:
    """A name that is part of several, all of one family: carrots, beans, clover."""
    inside = [known.what for known in _all_known() if words < known.words and not words & NO_NOUNS]
    keys = {(what.crop_key, what.name) for what in inside}
    families = {what.family for what in inside}
    if len(keys) < 2 or len(families) > 1:
        return None
    return What(_own_name(text), families.pop(), is_root=all(what.is_root for what in inside))


def _own_name(text: str) -> str:
    return " ".join(text.split())[:LONGEST_NAME]


def _family(text: str, words: Words) -> str:
    by_name = {rule.family_name.casefold(): family for family, rule in rest_rules().items()}
    if "family" in words:
        wanted = words - {"family", "and"}
        plain = [family for name, family in by_name.items() if words_of(name) - {"family", "and"} >= wanted]
        if len(plain) == 1:
            return plain[0]
    families = {what.family for what in (known.what for known in _all_known())} | set(rest_rules())
    botanical = {joined(family): family for family in families}
    if joined(text) in botanical:
        return botanical[joined(text)]
    single = next(iter(words)) if len(words) == 1 else ""
    return FAMILY_WORDS.get(single, "")


def _held(text: str) -> str:
    """The longest run of words in a cell that is a name, such as a crop before its variety."""
    said = re.findall(r"[^\W_]+(?:['’-][^\W_]+)*", text)
    runs = [(at, many) for many in range(len(said) - 1, 0, -1) for at in range(len(said) - many + 1)]
    found = (" ".join(said[at : at + many]) for at, many in runs)
    return next((f"“{run}”" for run in found if _named(run)), "")


def _near(text: str) -> list[str]:
    words = words_of(text)
    held = list(dict.fromkeys(known.shown for known in _all_known() if words < known.words))
    if held:
        return held[:MOST_NEAR]
    names = _shown_by_name()
    close = get_close_matches(text.casefold(), names, n=2 * MOST_NEAR, cutoff=LEAST_LIKENESS)
    return list(dict.fromkeys(each for name in close for each in names[name]))[:MOST_NEAR]


@cache
def _all_known() -> tuple[Known, ...]:
    return tuple(known for each in (_crops_known(), _manures_known()) for known in each)


def _crops_known() -> Iterator[Known]:
    by_key = {crop.key: crop for crop in crops()}
    for crop in by_key.values():
        for name in (crop.key, crop.name, crop.name_in_text, crop.botanical_name):
            yield _known(name, crop)
    for name, key in OTHER_NAMES.items():
        yield _known(name, by_key[key])
    for name, keys in SHARED_NAMES.items():
        for key in keys:
            # With its own key, so that the shared name is a part of several and not the whole of one.
            yield _known(f"{name} {key}", by_key[key])


def _known(name: str, crop: Crop) -> Known:
    fact = crop.get("is_root")
    is_root = fact is not None and fact.value is True
    return Known(words_of(name), crop.name, What(crop.name, crop.family, crop.key, is_root))


def _manures_known() -> Iterator[Known]:
    for manure in green_manures().values():
        what = What(manure.name, manure.family)
        for name in (manure.key, manure.name, manure.botanical_name, *_either(manure.name)):
            yield Known(words_of(name), manure.name, what)
            yield Known(words_of(name) | {"green", "manure"}, manure.name, what)
        for name, key in OTHER_MANURES.items():
            if key == manure.key:
                yield Known(words_of(name), manure.name, what)


def _either(name: str) -> Iterable[str]:
    """'flax or linseed' goes by either; of 'oil or fodder radish' only the whole half does."""
    first, _, second = name.partition(" or ")
    if second:
        yield second
        if " " in first or " " not in second:
            yield first


@cache
def _by_words() -> dict[Words, What]:
    """Crops before green manures, where both go by the same words."""
    return {known.words: known.what for known in reversed(_all_known()) if known.words}


@cache
def _by_joined() -> dict[str, What]:
    return {joined(known.shown): known.what for known in reversed(_all_known())}


@cache
def _shown_by_name() -> dict[str, list[str]]:
    """What a slip of the keyboard may have been meant for: whole names, and the longer words in them."""
    names: dict[str, list[str]] = {}
    for known in _all_known():
        for name in (known.shown.casefold(), *(word for word in known.words if len(word) > LEAST_WORD)):
            if known.shown not in names.setdefault(name, []):
                names[name].append(known.shown)
    return names
