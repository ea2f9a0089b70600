"""Letters that somebody's doing asks for: invitations, stand-ins, a log-in, a test letter."""

from schedules.people_letters.absences import absence_letter
from schedules.people_letters.invitations import invitation_letter
from schedules.people_letters.log_ins import log_in_letter
from schedules.people_letters.plain import Outgoing
from schedules.people_letters.trials import trial_letter

__all__ = ["Outgoing", "absence_letter", "invitation_letter", "log_in_letter", "trial_letter"]
