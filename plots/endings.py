"""What is said when a tenancy ends. Pages and printed letters take their words from here."""

from dataclasses import dataclass

from plots.models import Tenancy


@dataclass(frozen=True, slots=True)
class EndingWords:
    """A heading for the page, what to tell the committee, and what to write to those concerned."""

    heading: str
    to_committee: str
    to_people: str


ENDING_WORDS: dict[str, EndingWords] = {
    Tenancy.Ended.LEFT: EndingWords(
        heading="The plot was given up",
        to_committee="Letters about this plot have stopped. Please return the key deposit if one was held.",
        to_people="Thank you for the years you gave to this ground.",
    ),
    Tenancy.Ended.DEATH: EndingWords(
        heading="The tenancy has ended after a death",
        to_committee=(
            "No more letters will be sent in this name, from today on. There is no hurry about the rest: "
            "the family may want to gather what is growing, or to be offered the plot before it is let again."
        ),
        to_people=(
            "We are sorry for your loss. What grows on the plot is yours to gather, and nothing needs to be "
            "decided at once. The committee will gladly help with the ground meanwhile."
        ),
    ),
    Tenancy.Ended.NOTICE: EndingWords(
        heading="The tenancy was ended by notice",
        to_committee="Letters about this plot have stopped. Your rules and the lease say what notice is due.",
        to_people="Letters about this plot have stopped. The committee will answer your questions.",
    ),
    Tenancy.Ended.MOVED: EndingWords(
        heading="The tenant moved to another plot",
        to_committee="Letters about this plot have stopped; those about other ground go on.",
        to_people="Letters about the old plot have stopped; those about your other ground go on.",
    ),
}
