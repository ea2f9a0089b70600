"""Who grows where in the coming seasons: pure, the least bad layout and every trouble it leaves."""

from plots.rotation.proposals.asking import Asked, Dressing, Ground, problem_of
from plots.rotation.proposals.costs import troubles_of
from plots.rotation.proposals.enumerating import layouts
from plots.rotation.proposals.solving import propose
from plots.rotation.proposals.types import (
    Bar,
    Piece,
    Place,
    Problem,
    ProblemFault,
    Proposal,
    Rest,
    Share,
    Trouble,
    Wish,
)

__all__ = [
    "Asked",
    "Bar",
    "Dressing",
    "Ground",
    "Piece",
    "Place",
    "Problem",
    "ProblemFault",
    "Proposal",
    "Rest",
    "Share",
    "Trouble",
    "Wish",
    "layouts",
    "problem_of",
    "propose",
    "troubles_of",
]
