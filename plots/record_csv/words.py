"""Names without what does not matter in them: case, accents, plurals, hyphens, the order of words."""

import re
import unicodedata

# Words that name nothing by themselves.
IDLE = frozenset({
    "a", "an", "the", "some", "few", "several", "row", "rows", "of", "from", "for", "my", "our", "old",
    "crop", "crops", "plant", "plants",
})  # fmt: skip

Words = frozenset[str]


def words_of(text: str) -> Words:
    """'Carrots (early)' and 'Carrot, early' give the same words."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c)).replace("’", "'").replace("'s", "")
    return frozenset(_single(word) for word in re.findall(r"[^\W_]+", plain) if word not in IDLE)


def joined(text: str) -> str:
    """All letters in one, so that 'club root' finds 'clubroot'."""
    return "".join(re.findall(r"[^\W_]+", text.casefold()))


def _single(word: str) -> str:
    """One of several; what is no plural may lose its s as well, on both sides alike."""
    if len(word) <= 3:
        return word
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "xes", "oes", "sses")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def listed(names: list[str]) -> str:
    """'Leek, Kale or Pea', each in quotation marks."""
    quoted = [f"“{name}”" for name in names]
    return " or ".join(filter(None, [", ".join(quoted[:-1]), *quoted[-1:]]))
