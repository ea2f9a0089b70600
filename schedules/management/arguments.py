"""Command-line values read with errors that say what to write instead."""

import math
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from plots.crops import Crop, UnknownCrop
from plots.crops import crop as crop_of
from plots.tables import Undecodable, decode
from society.zones import zone_names


class ArgumentFault(ValueError):
    """A value that cannot be used; the message says what to write instead."""


EARLIEST_YEAR, LATEST_YEAR = 1900, 2200
MAX_BYTES = 10_000_000


def crop(text: str) -> Crop:
    try:
        return crop_of(text)
    except UnknownCrop as fault:
        raise ArgumentFault(str(fault)) from fault


def day(text: str) -> date:
    try:
        found = date.fromisoformat(text)
    except ValueError as fault:
        raise ArgumentFault(f"{text!r} is not a date; write one like 2027-04-12") from fault
    if not EARLIEST_YEAR <= found.year <= LATEST_YEAR:
        raise ArgumentFault(f"{text} lies outside {EARLIEST_YEAR} to {LATEST_YEAR}; check the year")
    return found


def day_or_fit(text: str) -> date | None:
    """Return the day, or None for 'fit'."""
    if text.strip().lower() == "fit":
        return None
    try:
        return day(text)
    except ArgumentFault as fault:
        raise ArgumentFault(f"{fault}, or 'fit' for the first fit day") from fault


def zone(text: str) -> ZoneInfo:
    if text not in zone_names():
        raise ArgumentFault(f"{text!r} is not a time zone; write one like Europe/London")
    return ZoneInfo(text)


def degrees(limit: float) -> Callable[[str], float]:
    """Return a reader of degrees from -limit to limit."""

    def read(text: str) -> float:
        found = _number(text)
        if not -limit <= found <= limit:
            raise ArgumentFault(f"{text} lies outside -{limit:g} to {limit:g}; write decimal degrees")
        return found

    return read


def height_cm(text: str) -> float:
    found = _number(text)
    if not 0 < found <= 300:
        raise ArgumentFault(f"{text} is no height of a container; write centimetres, above 0 and up to 300")
    return found


def _number(text: str) -> float:
    try:
        found = float(text)
    except ValueError as fault:
        raise ArgumentFault(f"{text!r} is not a number; write one like 47.45") from fault
    if not math.isfinite(found):
        raise ArgumentFault(f"{text!r} is not a number; write one like 47.45")
    return found


def csv_text(path_text: str) -> str:
    """Return the text of a CSV file."""
    path = Path(path_text)
    if path.is_dir():
        raise ArgumentFault(f"{path} is a folder; name a CSV file in it")
    try:
        with path.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except OSError as fault:
        reason = fault.strerror or "cannot be read"
        raise ArgumentFault(f"{path}: {reason}; check the name, the folder and its permissions") from fault
    if len(data) > MAX_BYTES:
        raise ArgumentFault(f"{path} is larger than {MAX_BYTES // 1_000_000} MB; split it")
    try:
        return decode(data)
    except Undecodable as fault:
        raise ArgumentFault(f"{path}, {fault}") from fault


def one_of(words: Iterable[str]) -> Callable[[str], str]:
    """Return a reader of a word out of a list."""
    known = [str(word) for word in words]

    def read(text: str) -> str:
        if text not in known:
            raise ArgumentFault(f"{text!r} is not known; choose one of {', '.join(known)}")
        return text

    return read
