"""Reasons in plain words: one sentence function a rule, found by the rule's name."""

from schedules.planner.sentences import bounds, ground, growing, readings, tending, threats, warning, watering
from schedules.planner.sentences.wording import Figures, Units
from schedules.planner.types import Reason

SENTENCES = {
    name: each
    for module in (bounds, ground, growing, readings, tending, threats, warning, watering)
    for name, each in module.SENTENCES.items()
}


def sentence(reason: Reason, units: Units = "metric") -> str:
    """Return a reason as plain sentences. KeyError names a rule that has none."""
    return SENTENCES[reason.rule](Figures(reason.values, units))


__all__ = ["SENTENCES", "Units", "sentence"]
