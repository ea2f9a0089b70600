"""Being away: asking for a stand-in, who accepts or declines, and coming back. All sides hear of it.

Letters go one hop only, so nobody may be away while standing in for somebody else. That is looked at when
it is asked for and again when it is accepted, under a lock on both members, so that no loop can arise.
"""

from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet

from schedules.deliveries import delivery_order
from schedules.models import Delivery
from society.absence_selectors import open_absences
from society.journal import journal_write
from society.models import Absence, Account, Member

PAPER = "These letters come on paper. Ask the committee to bring them to somebody else."
LONGEST = timedelta(days=366)


class AbsenceSettled(Exception):
    """It was answered, ended, or is over already."""


@transaction.atomic
def absence_ask(
    *,
    member: Member,
    stand_in: Member,
    since: date,
    until: date,
    account: Account | None,
    now: datetime,
    today: date,
) -> Absence:
    """Ask somebody to read a member's letters. Faults come as a ValidationError by field."""
    _check_days(since, until, today)
    _lock(member, stand_in)
    _check_people(member, stand_in)
    own = _in_these_days(since, until).filter(member=member).select_related("stand_in").first()
    if own is not None:
        raise ValidationError(
            {"since": f"There is an absence from {_days(own)} already. End it, or change the days."}
        )
    _check_one_hop(member, stand_in, since, until)
    absence = Absence.objects.create(member=member, stand_in=stand_in, since=since, until=until)
    _note(absence, "asked", account=account, now=now)
    _write_to(absence, "asked", stand_in, now=now)
    return absence


@transaction.atomic
def absence_accept(*, absence: Absence, account: Account | None, now: datetime, today: date) -> Absence:
    """Agree to stand in; from then on the member's letters go to the stand-in on those days."""
    _lock(absence.member, absence.stand_in)
    held = _unanswered(absence, today)
    _check_people(held.member, held.stand_in)
    _check_one_hop(held.member, held.stand_in, held.since, held.until, but=held)
    held.accepted_at = now
    held.save(update_fields=["accepted_at"])
    _note(held, "accepted", account=account, now=now)
    for person in (held.member, held.stand_in):
        _write_to(held, "accepted", person, now=now)
    return held


@transaction.atomic
def absence_decline(*, absence: Absence, account: Account | None, now: datetime, today: date) -> Absence:
    """Say no; the member hears of it and may ask somebody else."""
    _lock(absence.member, absence.stand_in)
    held = _unanswered(absence, today)
    held.declined_at = now
    held.save(update_fields=["declined_at"])
    _note(held, "declined", account=account, now=now)
    _write_to(held, "declined", held.member, now=now)
    return held


@transaction.atomic
def absence_end(*, absence: Absence, account: Account | None, now: datetime, today: date) -> Absence:
    """End it early, or take the question back: letters go to the member again at once."""
    _lock(absence.member, absence.stand_in)
    held = _fresh(absence)
    if held.ended_at is not None or held.until < today:
        raise AbsenceSettled
    was_open = held.is_open
    held.ended_at = now
    held.save(update_fields=["ended_at"])
    _note(held, "ended", account=account, now=now)
    if was_open:
        for person in (held.member, held.stand_in):
            _write_to(held, "ended", person, now=now)
    return held


def _check_days(since: date, until: date, today: date) -> None:
    if since < today:
        raise ValidationError({"since": "This day is past. Write today or a later day."})
    if until < since:
        raise ValidationError({"until": "The last day lies before the first. Write a later one."})
    if until - since > LONGEST:
        raise ValidationError({"until": "That is longer than a year. Write an earlier day."})


def _lock(*people: Member) -> None:
    """Hold both members, always in one order, so that two absences at once wait for each other."""
    pks = sorted(person.pk for person in people)
    list(Member.objects.select_for_update().filter(pk__in=pks).order_by("pk").values_list("pk", flat=True))


def _check_people(member: Member, stand_in: Member) -> None:
    if member.pk == stand_in.pk:
        raise ValidationError({"stand_in": "Nobody stands in for themselves. Write somebody else."})
    if not member.is_active:
        raise ValidationError({"stand_in": "Whoever has left gets no letters, so nobody needs to stand in."})
    if not member.email:
        raise ValidationError({"stand_in": PAPER})
    if not stand_in.is_active or not stand_in.email:
        raise ValidationError({"stand_in": "This member cannot be written to. Write somebody else."})


def _check_one_hop(
    member: Member, stand_in: Member, since: date, until: date, *, but: Absence | None = None
) -> None:
    others = _in_these_days(since, until)
    if but is not None:
        others = others.exclude(pk=but.pk)
    if others.filter(member=stand_in).exists():  # that somebody is away is nobody else's business
        raise ValidationError(
            {"stand_in": f"{stand_in.name} cannot on these days. Ask somebody else, or change them."}
        )
    standing = others.filter(stand_in=member, accepted_at__isnull=False).select_related("member").first()
    if standing is not None:
        raise ValidationError(
            {
                "since": f"{member.name} stands in for {standing.member.name} from {_days(standing)}. "
                "Choose other days, or end that first."
            }
        )


def _in_these_days(since: date, until: date) -> QuerySet[Absence]:
    return open_absences().filter(Q(since__lte=until) & Q(until__gte=since)).order_by("since", "pk")


def _days(absence: Absence) -> str:
    return f"{absence.since.day} {absence.since:%B %Y} to {absence.until.day} {absence.until:%B %Y}"


def _fresh(absence: Absence) -> Absence:
    return Absence.objects.select_related("member__society", "stand_in__society").get(pk=absence.pk)


def _unanswered(absence: Absence, today: date) -> Absence:
    held = _fresh(absence)
    if held.accepted_at is not None or not held.is_open or held.until < today:
        raise AbsenceSettled
    return held


def _write_to(absence: Absence, event: str, person: Member, *, now: datetime) -> None:
    """A notice to a member who can be written to; the others read it on their page."""
    if person.is_active and person.email:
        delivery_order(
            member=person, kind=Delivery.Kind.STAND_IN, subject_key=f"stand-in-{absence.pk}-{event}", now=now
        )


def _note(absence: Absence, event: str, *, account: Account | None, now: datetime) -> None:
    journal_write(
        action=f"absence_{event}",
        subject="society.absence",
        subject_id=str(absence.pk),
        at=now,
        account=account,
        values={
            "member": absence.member_id,
            "stand_in": absence.stand_in_id,
            "since": absence.since,
            "until": absence.until,
        },
    )
