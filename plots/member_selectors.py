"""Reading the book of members with the ground they hold, help on or wait for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, Q, QuerySet, prefetch_related_objects

from plots.models import CoWorker, Plot, Tenancy, TenancyHolder, WaitingEntry
from plots.natural_sorting import Naturally
from plots.selectors import open_on
from society.models import Account, CommitteeSeat, Invitation, Member


@dataclass(frozen=True, slots=True)
class GrowerLine:
    """One member in the list."""

    member: Member
    plots: tuple[Plot, ...]
    helps_on: tuple[Plot, ...]
    offices: tuple[str, ...]
    waits: bool


@dataclass(frozen=True, slots=True)
class GrowerPage:
    """One member with everything the committee needs to know, and nothing more."""

    member: Member
    tenancies: tuple[Tenancy, ...]
    helping: tuple[CoWorker, ...]
    seats: tuple[CommitteeSeat, ...]
    waiting: tuple[WaitingEntry, ...]
    accounts: tuple[Account, ...]
    invitation: Invitation | None
    day: date

    @property
    def has_seat(self) -> bool:
        return any(seat.until is None or seat.until > self.day for seat in self.seats)


def members_found(words: str = "", *, gone: bool = False, invited: bool = False) -> QuerySet[Member]:
    """Active members, or those who left or died, or who did not answer an invitation; by a part of the name
    or address."""
    went = Q(left_on__isnull=False) | Q(died_on__isnull=False)
    rows = Member.objects.filter(went if gone else ~went)
    if words:
        rows = rows.filter(Q(name__icontains=words) | Q(email__icontains=words))
    if invited:
        rows = rows.filter(pk__in=invitations_unanswered().values("member"))
    return rows.order_by("name", "pk")


def grower_lines(members: Iterable[Member], *, on: date) -> list[GrowerLine]:
    """Each with the plots of that day. Four queries, however many members."""
    people = list(members)
    holding = TenancyHolder.objects.filter(open_on(on, "tenancy")).select_related("tenancy__plot")
    helping = CoWorker.objects.filter(open_on(on, "")).select_related("plot")
    seated = CommitteeSeat.objects.filter(open_on(on, "")).order_by("since")
    waiting = WaitingEntry.objects.filter(closed_on__isnull=True)
    prefetch_related_objects(
        people,
        Prefetch("holdings", holding.order_by(Naturally("tenancy__plot__number")), to_attr="holds"),
        Prefetch("co_worked", helping.order_by(Naturally("plot__number")), to_attr="helps"),
        Prefetch("seats", seated, to_attr="seated"),
        Prefetch("waiting_for", waiting, to_attr="waits"),
    )
    return [_line(member) for member in people]


def grower_page(member: Member, *, on: date, now: datetime) -> GrowerPage:
    """Gather one member. A fixed number of queries, however long they have been here."""
    tenancies = Tenancy.objects.filter(holders=member).select_related("plot").prefetch_related("holders")
    open_invitations = Invitation.objects.filter(
        member=member, accepted_at__isnull=True, withdrawn_at__isnull=True
    )
    acting = Q(acts_for__member=member) & open_on(on, "acts_for")
    return GrowerPage(
        member=member,
        tenancies=tuple(tenancies.order_by("-since", "-pk")),
        helping=tuple(
            CoWorker.objects.filter(member=member).select_related("plot").order_by("-since", "-pk")
        ),
        seats=tuple(CommitteeSeat.objects.filter(member=member).order_by("-since", "-pk")),
        waiting=tuple(
            WaitingEntry.objects.filter(member=member, closed_on__isnull=True).select_related("site")
        ),
        accounts=tuple(Account.objects.filter(acting, is_active=True).distinct().order_by("email")),
        invitation=open_invitations.order_by("-made_at").first(),
        day=on,
    )


def invitations_unanswered() -> QuerySet[Invitation]:
    """Sent to members and neither taken up nor replaced; whether they ran out or not."""
    rows = Invitation.objects.filter(accepted_at__isnull=True, withdrawn_at__isnull=True)
    return rows.filter(member__left_on__isnull=True, member__died_on__isnull=True)


def _line(member: Member) -> GrowerLine:
    holds: Sequence[TenancyHolder] = member.holds  # type: ignore[attr-defined]  # prefetched above
    helps: Sequence[CoWorker] = member.helps  # type: ignore[attr-defined]
    seats: Sequence[CommitteeSeat] = member.seated  # type: ignore[attr-defined]
    return GrowerLine(
        member=member,
        plots=tuple(holder.tenancy.plot for holder in holds),
        helps_on=tuple(helper.plot for helper in helps),
        offices=tuple(seat.office for seat in seats),
        waits=bool(member.waits),  # type: ignore[attr-defined]
    )
