"""How rows are changed: against the version that was read, all faults said at once, with a journal entry."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models

from society.journal import journal_write
from society.models import Account, JournalEntry

# Free words may hold names; the journal says that they changed and keeps neither the old nor the new.
FREE_WORDS = frozenset({"name", "email", "text", "key_note", "variety"})

Row = TypeVar("Row", bound=models.Model)


class StaleRow(ValidationError):
    """The row changed since it was read, and nothing was written. ``row`` is as it stands now."""

    def __init__(self, row: models.Model, changed: tuple[str, ...]) -> None:
        what = f" ({', '.join(changed)})" if changed else ""
        super().__init__(
            {"version": f"{row} was changed by somebody else since you read it{what}; look again and repeat"}
        )
        self.row, self.changed = row, changed


class Faults:
    """Everything that is wrong with a wish, by field, so that all of it is said at once."""

    def __init__(self) -> None:
        self._by_field: dict[str, list[str]] = defaultdict(list)

    def add(self, field: str, sentence: str) -> None:
        self._by_field[field].append(sentence)

    def take(self, fault: ValidationError) -> None:
        for field, messages in fault.message_dict.items():
            self._by_field[field].extend(messages)

    @property
    def fields(self) -> set[str]:
        return set(self._by_field)

    @property
    def sentences(self) -> list[str]:
        return [sentence for sentences in self._by_field.values() for sentence in sentences]

    def refuse(self) -> None:
        """Raise what was found, if anything."""
        if self._by_field:
            raise ValidationError(dict(self._by_field))


def label(row: models.Model) -> str:
    return row._meta.label_lower


def refuse_stale(row: models.Model, version: int | None) -> None:
    """Compare a freshly read row with the version that its editor saw; None means that nobody looked."""
    present = row.version  # type: ignore[attr-defined]
    if version is None or version == present:
        return
    since = JournalEntry.objects.filter(
        subject=label(row), subject_id=str(row.pk), values__version__gt=version
    )
    fields = {field for entry in since for field in entry.values.get("fields", [])}
    raise StaleRow(row, tuple(sorted(fields)))


def row_check(row: models.Model) -> None:
    """The model's own limits, with a remedy where Django's sentence has none."""
    links = {field.name for field in row._meta.fields if field.is_relation}
    try:
        row.clean_fields(exclude=links)
    except ValidationError as fault:
        raise ValidationError(
            {name: [_said(row, name, error) for error in errors] for name, errors in fault.error_dict.items()}
        ) from None


def row_change(
    row: Row,
    changes: Mapping[str, Any],
    *,
    action: str,
    account: Account | None,
    now: datetime,
    values: Mapping[str, Any] | None = None,
) -> Row:
    """Write the fields that really differ, count the version up and note it; nothing where none does."""
    was = {name: getattr(row, name) for name in changes}
    for name, value in changes.items():
        setattr(row, name, value)
    row_check(row)
    changed = sorted(name for name in changes if getattr(row, name) != was[name])
    if not changed:
        return row
    row.version += 1  # type: ignore[attr-defined]
    row.save(update_fields=[*changed, "version"])
    note(
        row,
        action,
        account=account,
        now=now,
        fields=changed,
        was={name: _noted(was[name]) for name in changed if name not in FREE_WORDS},
        version=row.version,  # type: ignore[attr-defined]
        **(values or {}),
    )
    return row


def note(row: models.Model, action: str, *, account: Account | None, now: datetime, **values: Any) -> None:
    """Journal what happened to a row, by codes and ids."""
    journal_write(
        action=action, subject=label(row), subject_id=str(row.pk), at=now, account=account, values=values
    )


def _noted(value: Any) -> Any:
    return value.pk if isinstance(value, models.Model) else value


def _said(row: models.Model, name: str, error: ValidationError) -> str:
    field = row._meta.get_field(name)
    value = getattr(row, name)
    if error.code == "invalid_choice" and isinstance(field, models.Field):
        return f"{value!r} is none of: {', '.join(str(key) for key, _ in field.flatchoices)}"
    if error.code in {"blank", "null"}:
        return "this is missing; fill it in"
    return " ".join(error.messages)
