"""Writing the journal."""

from datetime import datetime
from typing import Any

from society.models import Account, JournalEntry

# Among the values: the member who answered by a link in a letter, where no account was logged in.
BY_LETTER = "by_letter_to"


def journal_write(
    *,
    action: str,
    subject: str,
    subject_id: str,
    at: datetime,
    account: Account | None,
    values: dict[str, Any] | None = None,
) -> JournalEntry:
    """Note what an account, or the server itself, changed. Values hold codes and ids, never names."""
    return JournalEntry.objects.create(
        at=at,
        account_id_then=account.pk if account else None,
        action=action,
        subject=subject,
        subject_id=subject_id,
        values=values or {},
    )
