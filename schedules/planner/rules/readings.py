"""What was set aside of the weather that a plan rests on, as a door finds it when it reads a file."""

from collections.abc import Sequence

from schedules.agronomy.climate import Suspect, WrongUnit
from schedules.planner.sources import OWN_RECORD
from schedules.planner.types import Reason, Scalar

NAMED = 3


def set_aside_warnings(aside: Sequence[Suspect]) -> list[Reason]:
    """Say how many readings were not believed, the first of them, and why."""
    if not aside:
        return []
    values: dict[str, Scalar] = {"readings": len(aside)}
    for at, suspect in enumerate(sorted(aside, key=lambda each: (each.day, each.quantity))[:NAMED], start=1):
        values |= {
            f"day_{at}": suspect.day.isoformat(),
            f"quantity_{at}": suspect.quantity,
            f"value_{at}": round(suspect.value, 1),
            f"rule_{at}": suspect.rule,
        }
    return [Reason("readings_set_aside", values, OWN_RECORD)]


def unit_warnings(wrong: WrongUnit, days: int) -> list[Reason]:
    """Say that a file's temperatures were left out, since their unit looks wrong."""
    return [
        Reason("unit_looks_wrong", {"stated": wrong.stated, "days": days, "rule": wrong.rule}, OWN_RECORD)
    ]
