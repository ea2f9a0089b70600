"""Who grows where in the coming seasons: pure, the least bad layout and every trouble it leaves."""

from plots.rotation.proposals.asking import Asked, Dressing, Ground, Standing, problem_of
from plots.rotation.proposals.changing import changed
from plots.rotation.proposals.costs import troubles_of
from plots.rotation.proposals.enumerating import layouts
from plots.rotation.proposals.keeping import answer_data, answer_from, problem_data, problem_from
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
    "Standing",
    "Trouble",
    "Wish",
    "answer_data",
    "answer_from",
    "changed",
    "layouts",
    "problem_data",
    "problem_from",
    "problem_of",
    "propose",
    "troubles_of",
]
