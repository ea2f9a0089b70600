"""Who may do what: one module of rules, asked by pages, letters and the API alike.

The rules take plain facts, so that any room can ask them. What an account may not see is answered as
if it did not exist (404), never as forbidden.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from society.models import Account, Member
from society.models.members import Units
from society.selectors import members_acted_for, sits_on_committee


class Role(StrEnum):
    """What somebody is to a plot or to the server. One account may be several at once."""

    GROWER = "grower"  # holds the plot
    CO_WORKER = "co-worker"  # helps on it
    COMMITTEE = "committee"
    ADMINISTRATOR = "administrator"


@dataclass(frozen=True, slots=True)
class Asker:
    """An account on one day: for which active members it acts, and whether one of them has a seat.

    Being an administrator is about the server: it opens the committee's book, where the first committee
    is seated, and no plot, letter or job of anybody.
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


def can_plan_sowing(asker: Asker, *, worked_by: Collection[int]) -> bool:
    """Those who work the plot, helpers as well as holders: who does the work may plan it. The committee
    plans for members without an account."""
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


def roles_of(
    asker: Asker, *, held_by: Collection[int] = (), helped_by: Collection[int] = ()
) -> frozenset[Role]:
    """What an account is, on a plot that these members hold and those help on."""
    facts = {
        Role.GROWER: not asker.member_ids.isdisjoint(held_by),
        Role.CO_WORKER: not asker.member_ids.isdisjoint(helped_by),
        Role.COMMITTEE: asker.on_committee,
        Role.ADMINISTRATOR: can_open_admin(asker.account),
    }
    return frozenset(role for role, holds in facts.items() if holds)


def can_open_admin(account: Account) -> bool:
    """Administrators look into the database; nobody changes anything there."""
    return account.is_active and account.is_administrator


def can_set_letters(asker: Asker, *, member_id: int) -> bool:
    """The member, or whoever acts for them; the committee for those without an account."""
    return asker.on_committee or member_id in asker.member_ids


def can_have_calendar(asker: Asker, *, member_id: int) -> bool:
    """Only whoever acts for the member: the address is a secret of theirs."""
    return member_id in asker.member_ids


def can_ask_stand_in(asker: Asker, *, member_id: int) -> bool:
    return member_id in asker.member_ids


def can_answer_stand_in(asker: Asker, *, stand_in_id: int) -> bool:
    return stand_in_id in asker.member_ids


def can_end_stand_in(asker: Asker, *, member_id: int, stand_in_id: int) -> bool:
    """Either side may end it."""
    return not asker.member_ids.isdisjoint({member_id, stand_in_id})


def can_run_society(asker: Asker) -> bool:
    """The committee's book: members, tenancies, ground, notices, journal."""
    return asker.on_committee or can_open_admin(asker.account)


def can_see_site_ground(asker: Asker, *, works_there: bool) -> bool:
    """How the ground of a whole site rests: those who work some of it, and the committee."""
    return asker.on_committee or works_there


def can_enter_reading(asker: Asker, *, works_there: bool) -> bool:
    """Whoever works on the site reads its thermometers; so does the committee."""
    return asker.on_committee or works_there


def can_withdraw_reading(asker: Asker, *, member_id: int | None) -> bool:
    """The member who read it, and the committee."""
    return asker.on_committee or member_id in asker.member_ids


def can_send_again(asker: Asker) -> bool:
    return asker.on_committee


def can_invite(asker: Asker) -> bool:
    return can_run_society(asker)


def can_link_accounts(asker: Asker) -> bool:
    return asker.on_committee


def can_manage_screens(asker: Asker) -> bool:
    """Screens show what anybody at the gate may read; which of them do is the committee's to say."""
    return asker.on_committee
