"""A short letter: a sentence that matters, what follows from it, and at most one link."""

from dataclasses import dataclass

from django.conf import settings
from django.template.loader import render_to_string

from schedules.letter_wording import one_line
from schedules.letters import TEMPLATES, Letter, as_html
from society.selectors import the_society

NOT_KEPT = "(this link is not kept here)"


@dataclass(frozen=True, slots=True)
class Plain:
    """What a short letter says. The link stands after the paragraphs, and what follows it comes last."""

    title: str
    greeting: str
    paragraphs: tuple[str, ...]
    link: str = ""
    link_says: str = ""
    closing: tuple[str, ...] = ()

    def letter(self) -> Letter:
        society = the_society()
        title = one_line(self.title)
        context = {
            "title": title,
            "greeting": one_line(self.greeting),
            "paragraphs": [one_line(words) for words in self.paragraphs],
            "link": self.link,
            "link_says": self.link_says,
            "closing": self.closing,
            "society": one_line(society.name) if society else "Commonrow",
            "language": settings.LANGUAGE_CODE,
        }
        return Letter(
            title=title[:200],
            text=render_to_string(f"{TEMPLATES}/plain.txt", context),
            html=as_html(render_to_string(f"{TEMPLATES}/plain.html", context)),
            job_count=0,
        )


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A letter with the address it goes to, and the secret in it that no row may keep."""

    letter: Letter
    to: str
    secret: str = ""

    def kept(self, words: str) -> str:
        """The words as the row keeps them: readable, and of no use to whoever reads the row."""
        return words.replace(self.secret, NOT_KEPT) if self.secret else words
