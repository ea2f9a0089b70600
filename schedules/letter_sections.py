"""What a letter is made of: entries of a few lines, and sections of entries under a heading."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from schedules.letter_wording import set_in

ANSWERS = "Done, put off or not needed"


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that a letter says, as lines: a heading, where and when, why, and what to beware of.

    ``link`` opens a page that asks what became of it; on paper it does not stand.
    """

    heading: str
    place: str
    when: str
    why: str
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    link: str = ""

    @property
    def text(self) -> str:
        """The lines under the heading, wrapped and set in for the plain text."""
        lines = [self.place, self.when, self.why, *self.notes]
        lines += [f"Take care: {caution}" for caution in self.cautions]
        lines += [f"{ANSWERS}:", self.link] if self.link else []
        return "\n".join(set_in(line) for line in lines if line)


@dataclass(frozen=True, slots=True)
class Section:
    """Entries that belong together, under a heading; ``lead`` is a sentence before them."""

    heading: str
    entries: tuple[Entry, ...]
    lead: str = ""


def cautions_once(entries: Sequence[Entry]) -> list[Entry]:
    """Each caution in full where it is first due, and by the number of that job where it comes again."""
    first: dict[str, int] = {}
    told = []
    for number, entry in enumerate(entries, start=1):
        new = [each for each in entry.cautions if first.setdefault(each, number) == number]
        again = sorted({first[each] for each in entry.cautions if first[each] != number})
        pointer = [f"as under {' and '.join(map(str, again))}."] if again else []
        told.append(replace(entry, cautions=(*new, *pointer)))
    return told
