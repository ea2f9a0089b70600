"""How a member wants to be written to."""

from datetime import datetime

from django.db import transaction

from society.journal import journal_write
from society.models import Account, LetterPreference, Member


@transaction.atomic
def letters_wanted_save(
    *,
    member: Member,
    weekly: bool,
    weekly_when_empty: bool,
    day_notes: bool,
    weekday: int,
    hour: int,
    units: str,
    account: Account | None,
    now: datetime,
) -> LetterPreference:
    """Keep a member's wishes, in the journal as well."""
    wishes = {
        "weekly": weekly,
        "weekly_when_empty": weekly_when_empty,
        "day_notes": day_notes,
        "weekday": weekday,
        "hour": hour,
    }
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
