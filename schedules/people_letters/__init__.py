"""Letters that somebody's doing asks for: invitations, stand-ins, and what concerns a log-in."""

from schedules.people_letters.absences import absence_letter
from schedules.people_letters.invitations import invitation_letter
from schedules.people_letters.log_ins import log_in_letter
from schedules.people_letters.plain import Outgoing

__all__ = ["Outgoing", "absence_letter", "invitation_letter", "log_in_letter"]
