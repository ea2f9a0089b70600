"""A short letter: a sentence that matters, what follows from it, and at most one link."""

from dataclasses import dataclass

from schedules.forecast.service import Credit
from schedules.letter_sections import Section
from schedules.letter_stopping import StopLine
from schedules.letter_wording import one_line
from schedules.letters import Letter, language_of, letter_of
from society.models import Member
from society.selectors import the_society

NOT_KEPT = "(this link is not kept here)"


@dataclass(frozen=True, slots=True)
class Plain:
    """What a short letter says. The link stands after the paragraphs, and what follows it comes last.

    ``comes`` says why a letter that can be stopped comes, and ``stop`` is the link; others have no foot.
    """

    title: str
    greeting: str
    paragraphs: tuple[str, ...]
    link: str = ""
    link_says: str = ""
    closing: tuple[str, ...] = ()
    sections: tuple[Section, ...] = ()
    comes: str = ""
    stop: StopLine | None = None
    credit: Credit | None = None
    reader: Member | None = None
    told: tuple[tuple[str, object], ...] = ()

    @property
    def _link_lead(self) -> str:
        """What the plain text says before an address that no sentence has led to."""
        led = self.paragraphs and self.paragraphs[-1].endswith(":") and not self.sections
        return "" if led else f"{self.link_says.removesuffix('.')}:"

    def letter(self) -> Letter:
        context = {
            "paragraphs": [one_line(words) for words in self.paragraphs],
            "link": self.link,
            "link_says": self.link_says,
            "link_lead": self._link_lead,
            "closing": [one_line(words) for words in self.closing],
            "sections": self.sections,
            "comes": self.comes,
            "stop": self.stop,
            "credit": self.credit,
        }
        return letter_of(
            "plain",
            context,
            title=self.title,
            greeting=self.greeting,
            society=self.reader.society if self.reader else the_society(),
            language=language_of(self.reader),
            told=dict(self.told),
        )


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A letter, the address it goes to, and the secret in it that no row may keep.

    ``reader`` is whoever may stop letters of this kind from the letter itself, and in whose language it is.
    """

    letter: Letter
    to: str
    secret: str = ""
    follows: str = ""
    reader: Member | None = None

    def kept(self, words: str) -> str:
        """The words as the row keeps them: readable, and of no use to whoever reads the row."""
        return words.replace(self.secret, NOT_KEPT) if self.secret else words
