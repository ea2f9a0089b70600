"""What a file of old records yields: rows in plain values, and the faults and remarks found on the way."""

from dataclasses import dataclass
from datetime import date

from plots.tables import Fault

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class What:
    """What grew: a crop of the list by its key, or else a name of its own with its family."""

    name: str
    family: str
    crop_key: str = ""
    is_root: bool = False


@dataclass(frozen=True, slots=True)
class Moment:
    """A day, or less where no day is known; ``stands`` where it is in the ground still.

    ``year`` alone is a season. With a ``month`` it is that month's calendar year, and None where only the
    month was said. ``spans`` says that two years were written, like 2019/20.
    """

    day: date | None = None
    year: int | None = None
    stands: bool = False
    month: int | None = None
    spans: bool = False


@dataclass(frozen=True, slots=True)
class Where:
    """The place as the file has it; the words are read against the plot's beds later.

    ``corners`` are metres east and north in the site's frame. ``length_m`` and ``width_m`` are a piece's own
    size, ``along_m`` and ``across_m`` its distance from the bed's first corner.
    """

    plot: str
    bed: str = ""
    part: str = ""
    corners: Corners = ()
    length_m: float | None = None
    width_m: float | None = None
    along_m: float | None = None
    across_m: float | None = None


@dataclass(frozen=True, slots=True)
class RecordRow:
    """One line: something grew somewhere, or a problem was seen there, or both.

    ``spans`` says that the year was written as two, like 2019/20.
    """

    line: int
    year: int | None
    where: Where
    begun: Moment | None = None
    ended: Moment | None = None
    what: What | None = None
    variety: str = ""
    failed: bool = False
    problem: str = ""
    is_sure: bool = False
    note: str = ""
    spans: bool = False


@dataclass(frozen=True, slots=True)
class RecordFile:
    """The good rows in file order, the faults by line, what was understood how, and columns not used.

    ``flawed`` are rows with a fault, as far as they could be read, so that their places can be looked at too.
    """

    rows: tuple[RecordRow, ...]
    faults: tuple[Fault, ...]
    remarks: tuple[str, ...] = ()
    ignored: tuple[str, ...] = ()
    flawed: tuple[RecordRow, ...] = ()
