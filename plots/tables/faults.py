"""What is wrong with a file that somebody sent: where, what stands there, why, and what to do."""

from collections.abc import Iterable
from dataclasses import dataclass

SHOWN_CHARACTERS = 60


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a file; `line` counts as a text editor does, from 1."""

    line: int
    column: str
    value: str
    reason: str
    remedy: str


class CellFault(ValueError):
    """Why a cell cannot be read, and what to do about it."""

    def __init__(self, reason: str, remedy: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.remedy = remedy


def shown(text: str) -> str:
    """Short and free of control characters, so that a cell cannot forge a line of the report."""
    clean = "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in text[: SHOWN_CHARACTERS + 1])
    return clean if len(text) <= SHOWN_CHARACTERS else clean[:SHOWN_CHARACTERS] + "…"


def by_line(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(faults, key=lambda fault: fault.line))


def fault_line(fault: Fault) -> str:
    """One fault as a line of a terminal's report."""
    place = ", ".join(part for part in (f"line {fault.line}", fault.column) if part)
    value = f" “{fault.value}”" if fault.value and fault.value != fault.column else ""
    return f"{place}{value}: {fault.reason} {fault.remedy}"
