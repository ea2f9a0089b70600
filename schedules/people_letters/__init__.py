"""Letters that somebody's doing asks for: invitations, offers, notices, stand-ins, log-ins, test letters."""

from schedules.people_letters.absences import absence_letter
from schedules.people_letters.digests import digest_letter
from schedules.people_letters.invitations import invitation_letter
from schedules.people_letters.log_ins import log_in_letter
from schedules.people_letters.notices import notice_letter
from schedules.people_letters.offers import offer_letter
from schedules.people_letters.plain import Outgoing
from schedules.people_letters.trials import trial_letter

__all__ = [
    "Outgoing",
    "absence_letter",
    "digest_letter",
    "invitation_letter",
    "log_in_letter",
    "notice_letter",
    "offer_letter",
    "trial_letter",
]
