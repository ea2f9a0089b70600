"""People: the society, its members and accounts, and the journal of what was changed."""

from society.models.accounts import Account, AccountMember, Invitation
from society.models.journal import JournalEntry
from society.models.members import Absence, CommitteeSeat, LetterPreference, Member, Society

__all__ = [
    "Absence",
    "Account",
    "AccountMember",
    "CommitteeSeat",
    "Invitation",
    "JournalEntry",
    "LetterPreference",
    "Member",
    "Society",
]
