"""Who is away, and who reads their letters meanwhile. Nothing here writes."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from society.models import Absence, Member


def open_absences() -> QuerySet[Absence]:
    """Asked for or accepted; neither declined nor ended."""
    return Absence.objects.filter(declined_at__isnull=True, ended_at__isnull=True)


def stand_in_for(member: Member, *, on: date) -> Member | None:
    """Who accepted to read a member's letters on a day and can be written to.

    One hop only: that the stand-in might be away in turn is refused when it is asked for and accepted.
    """
    away = (
        open_absences()
        .filter(member=member, since__lte=on, until__gte=on, accepted_at__isnull=False)
        .filter(stand_in__left_on__isnull=True, stand_in__died_on__isnull=True)
        .exclude(stand_in__email="")
        .select_related("stand_in__society")
        .order_by("-since", "-pk")
        .first()
    )
    return away.stand_in if away else None


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
