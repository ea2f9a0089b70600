"""Rest between crops of one family, judged by the ground itself: pure rules, no database and no clock."""

from plots.rotation.customs import CustomFault, Customs, RestWish, adapted
from plots.rotation.fitting import Candidate, fitting
from plots.rotation.green_manures import GreenManure, green_manures
from plots.rotation.ground import GroundUse, OutlineFault, Wanted, outline_polygon
from plots.rotation.judging import judge
from plots.rotation.judging_many import judge_many
from plots.rotation.problems import Problem, Sighting, problems
from plots.rotation.rest_rules import RestDataFault, RestRule, read_rest_rules, rest_rules
from plots.rotation.resting import Resting, resting
from plots.rotation.verdicts import Level, Overlap, Verdict
from plots.rotation.wording import explain, sentence

__all__ = [
    "Candidate",
    "CustomFault",
    "Customs",
    "GreenManure",
    "GroundUse",
    "Level",
    "OutlineFault",
    "Overlap",
    "Problem",
    "RestDataFault",
    "RestRule",
    "RestWish",
    "Resting",
    "Sighting",
    "Verdict",
    "Wanted",
    "adapted",
    "explain",
    "fitting",
    "green_manures",
    "judge",
    "judge_many",
    "outline_polygon",
    "problems",
    "read_rest_rules",
    "rest_rules",
    "resting",
    "sentence",
]
