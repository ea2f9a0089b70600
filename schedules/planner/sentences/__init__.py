"""Reasons in plain words: one sentence function a rule, found by the rule's name."""

from collections.abc import Iterable

from schedules.planner.sentences import bounds, ground, growing, readings, tending, threats, warning, watering
from schedules.planner.sentences.wording import Figures, Units
from schedules.planner.types import Reason

SENTENCES = {
    name: each
    for module in (bounds, ground, growing, readings, tending, threats, warning, watering)
    for name, each in module.SENTENCES.items()
}


def sentence(reason: Reason, units: Units = "metric", *, says_basis: bool = True) -> str:
    """Return a reason as plain sentences. KeyError names a rule that has none.

    ``says_basis`` False leaves out what the figures rest on, for where that has just been said.
    """
    figures = Figures(reason.values, units)
    text = SENTENCES[reason.rule](figures)
    return text if says_basis or not figures.has("basis") else _without(text, figures.basis)


def sentences(reasons: Iterable[Reason], units: Units = "metric") -> tuple[str, ...]:
    """Return several reasons that are read together, each once, saying only once what they rest on."""
    said: set[str] = set()
    texts: dict[str, None] = {}
    for reason in reasons:
        basis = basis_of(reason, units)
        texts[sentence(reason, units, says_basis=basis not in said)] = None
        said.add(basis)
    return tuple(texts)


def basis_of(reason: Reason, units: Units = "metric") -> str:
    """Return what a reason's figures rest on, as a clause; nothing where they rest on no reckoning."""
    figures = Figures(reason.values, units)
    return figures.basis if figures.has("basis") else ""


def _without(text: str, basis: str) -> str:
    """Take the clause out of sentences that end in it, and with it those that say nothing else."""
    for only in (f" The dates are {basis}.", f" Both days are {basis}."):
        text = text.replace(only, "")
    return text.replace(f", {basis}", "")


__all__ = ["SENTENCES", "Units", "basis_of", "sentence", "sentences"]
