"""Who is away, and who reads their letters meanwhile. Nothing here writes."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from society.models import Absence, Member


def open_absences() -> QuerySet[Absence]:
    """Asked for or accepted; neither declined nor ended."""
    return Absence.objects.filter(declined_at__isnull=True, ended_at__isnull=True)


def stand_ins_for(members: Iterable[Member], *, on: date) -> dict[int, Member]:
    """Who accepted to read whose letters on a day and can be written to, by the member; one query.

    Where mail servers refuse the address of whoever stands in, letters stay with the member as well.

    One hop only. That the stand-in might be away in turn is refused when it is asked for and accepted; should
    it stand in the book all the same, the letters stay with the member: a chain ends, and a ring never turns.
    """
    away = open_absences().filter(since__lte=on, until__gte=on, accepted_at__isnull=False)
    rows = (
        away.filter(member__in=[member.pk for member in members])
        .filter(stand_in__left_on__isnull=True, stand_in__died_on__isnull=True)
        .filter(stand_in__email_refused_at__isnull=True)
        .exclude(stand_in__email="")
        .exclude(stand_in__in=away.values("member"))
        .select_related("stand_in__society", "stand_in__letters_wanted")
        .order_by("since", "pk")
    )
    return {absence.member_id: absence.stand_in for absence in rows}


def stand_in_for(member: Member, *, on: date) -> Member | None:
    return stand_ins_for([member], on=on).get(member.pk)


def absences_ahead(members: Iterable[Member], *, on: date) -> QuerySet[Absence]:
    """Absences of these members that are not over: open ones, and declined ones that need another answer."""
    return (
        Absence.objects.filter(member__in=members, until__gte=on, ended_at__isnull=True)
        .select_related("member", "stand_in")
        .order_by("since", "pk")
    )


def asked_of(members: Iterable[Member], *, on: date) -> QuerySet[Absence]:
    """Absences in which one of these members stands in, or is asked to."""
    return (
        open_absences()
        .filter(stand_in__in=members, until__gte=on)
        .filter(member__left_on__isnull=True, member__died_on__isnull=True)
        .select_related("member", "stand_in")
        .order_by("since", "pk")
    )


def who_may_stand_in(written: str, *, on: date) -> list[Member]:
    """Active members of that name or address who can be written to and have an account to answer with."""
    words = written.strip()
    people = Member.objects.filter(left_on__isnull=True, died_on__isnull=True).exclude(email="")
    found = people.filter(email__iexact=words) if "@" in words else people.filter(name__iexact=words)
    answering = found.filter(acted_for_by__since__lte=on, acted_for_by__account__is_active=True).exclude(
        acted_for_by__until__lte=on
    )
    return list(answering.select_related("society").distinct()[:2])
