"""How a member wants to be written to."""

from datetime import datetime
from typing import TypedDict, Unpack

from django.db import transaction

from society.journal import BY_LETTER, journal_write
from society.models import Account, LetterPreference, Member


class Wishes(TypedDict, total=False):
    """What may be wished for; a wish that is left out stays as it is."""

    weekly: bool
    weekly_when_empty: bool
    day_notes: bool
    notices: bool
    digest: bool
    weekday: int
    hour: int
    quiet_from: int
    quiet_until: int
    zone: str


@transaction.atomic
def letters_wanted_save(
    *,
    member: Member,
    units: str,
    account: Account | None,
    now: datetime,
    **wishes: Unpack[Wishes],
) -> LetterPreference:
    """Keep a member's wishes, in the journal as well."""
    preference, _ = LetterPreference.objects.update_or_create(member=member, defaults=wishes)
    member.units = units
    member.save(update_fields=["units"])
    journal_write(
        action="letters_wanted",
        subject="society.member",
        subject_id=str(member.pk),
        at=now,
        account=account,
        values={**wishes, "units": units},
    )
    return preference


@transaction.atomic
def letters_stop(*, member: Member, wish: str, now: datetime) -> bool:
    """Stop one kind of letter at a member's own word, given by a link in it; False when it was stopped.

    ``wish`` is the preference's field: weekly, day_notes, notices or digest.
    """
    preference, _ = LetterPreference.objects.get_or_create(member=member)
    if not LetterPreference.objects.filter(pk=preference.pk, **{wish: True}).update(**{wish: False}):
        return False
    journal_write(
        action="letters_stopped",
        subject="society.member",
        subject_id=str(member.pk),
        at=now,
        account=None,
        values={BY_LETTER: member.pk, "fields": [wish]},
    )
    return True
