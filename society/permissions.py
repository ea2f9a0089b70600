"""Who may do what: one module of rules, asked by pages, letters and the API alike.

The rules take plain facts, so that any room can ask them. What an account may not see is answered as
if it did not exist (404), never as forbidden.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from society.models import Account, Member
from society.models.members import Units
from society.selectors import members_acted_for, sits_on_committee


@dataclass(frozen=True, slots=True)
class Asker:
    """An account on one day: for which active members it acts, and whether one of them has a seat.

    Being an administrator is about the server and opens no page of the society by itself.
    """

    account: Account
    on: date
    members: tuple[Member, ...]
    on_committee: bool

    @property
    def member_ids(self) -> frozenset[int]:
        return frozenset(member.pk for member in self.members)

    @property
    def units(self) -> str:
        """In which units this account reads; with several members, those of the first."""
        return self.members[0].units if self.members else Units.METRIC


def asker_of(account: Account, *, on: date) -> Asker:
    members = tuple(members_acted_for(account, on=on))
    seated = bool(members) and sits_on_committee(account, on=on)
    return Asker(account=account, on=on, members=members, on_committee=seated)


def can_see_plot(asker: Asker, *, worked_by: Collection[int]) -> bool:
    """Those who hold or help on a plot that day, and the committee."""
    return asker.on_committee or not asker.member_ids.isdisjoint(worked_by)


def can_record_job(asker: Asker, *, worked_by: Collection[int]) -> bool:
    """Those who work the plot; the committee records for members without an account."""
    return can_see_plot(asker, worked_by=worked_by)


def can_see_letter(asker: Asker, *, member_id: int | None) -> bool:
    """The member it was written to (None: erased since), and the committee that answers for its arrival."""
    return asker.on_committee or member_id in asker.member_ids


def can_print_letter(asker: Asker, *, member_id: int) -> bool:
    return can_see_letter(asker, member_id=member_id)


def can_see_all_letters(asker: Asker) -> bool:
    return asker.on_committee


def can_see_every_plot(asker: Asker) -> bool:
    return asker.on_committee
