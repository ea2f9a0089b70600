"""Reasons as they were kept, read by today's sentences.

A finished job keeps its reason for good, and an open one until plans are next worked out; meanwhile a rule
may have been renamed or may say other figures. A page or a letter with one such reason is still worth
reading, so it says that this one cannot be read, and the log names the rule.
"""

import logging
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache

from plots.rotation import explain
from plots.rotation.verdicts import JSON
from schedules.planner import Reason, caution_text, sentence
from schedules.planner.sentences import Units

logger = logging.getLogger(__name__)

UNREADABLE = (
    "The reason was kept in an older form, which can no longer be read. What is still to be done is given "
    "its reason anew when plans are next worked out."
)
UNREADABLE_CAUTION = "A caution was kept in an older form, which can no longer be read. Ask before you begin."
UNREADABLE_VERDICT = (
    "How this ground was judged was kept in an older form, which can no longer be read; it is judged anew "
    "when plans are next worked out."
)
# What a sentence meets in values of another shape: missing, of another type, no date, nought as divisor.
_FAULTS = (LookupError, TypeError, ValueError, AttributeError, ArithmeticError)


def reason_read(rule: object, values: object, source: object, *, units: str, says_basis: bool = True) -> str:
    """A stored rule and its values as plain sentences, or ``UNREADABLE``."""
    return _read(str(rule), lambda: _sentence(rule, values, source, units, says_basis), UNREADABLE)


def notes_read(stored: object, *, units: str) -> tuple[str, ...]:
    """Stored notes or warnings in sentences; those that cannot be read are told of once.

    What the figures rest on is said once, by the first that rests on anything.
    """
    rows: Iterable[object] = stored if isinstance(stored, list | tuple) else [stored]
    texts: dict[str, None] = {}
    is_said = False
    for row in rows:
        texts[_note(row, units, says_basis=not is_said)] = None
        is_said = is_said or (isinstance(row, Mapping) and "basis" in (row.get("values") or ()))
    return tuple(texts)


def cautions_read(codes: object) -> tuple[str, ...]:
    """Stored codes of cautions in words. One that is not known is not passed over in silence."""
    rows: Iterable[object] = codes if isinstance(codes, list | tuple) else [codes]
    return tuple(
        dict.fromkeys(
            _read(f"caution {code}", lambda code=code: caution_text(code), UNREADABLE_CAUTION)  # type: ignore[misc]
            for code in rows
        )
    )


def verdict_read(rule: str, values: Mapping[str, JSON], *, season_name: Callable[[int], str] = str) -> str:
    """A stored verdict on ground in plain sentences, or ``UNREADABLE_VERDICT``."""
    return _read(rule, lambda: explain(rule, values, season_name=season_name), UNREADABLE_VERDICT)


def _note(row: object, units: str, *, says_basis: bool) -> str:
    if not isinstance(row, Mapping):
        return _read(repr(row)[:40], lambda: row["rule"], UNREADABLE)  # type: ignore[index]
    rule, values, source = (row.get(name) for name in ("rule", "values", "source"))
    return reason_read(rule, values, source, units=units, says_basis=says_basis)


def _sentence(rule: object, values: object, source: object, units: str, says_basis: bool) -> str:
    if not isinstance(values, Mapping):
        raise TypeError(f"values are {type(values).__name__}, not a mapping")
    read_in: Units = "imperial" if units == "imperial" else "metric"
    return sentence(Reason(str(rule), values, str(source)), read_in, says_basis=says_basis)


def _read(name: str, say: Callable[[], str], instead: str) -> str:
    try:
        return say()
    except _FAULTS as fault:
        _log_once(name, f"{type(fault).__name__}: {fault}")
        return instead


@lru_cache(maxsize=256)
def _log_once(name: str, fault: str) -> None:
    """One page is read many times: a rule and its fault are logged once a process."""
    logger.warning("a stored reason cannot be read: %s: %s", name, fault)
