"""What earlier day notes said, so that nothing is said twice. Nothing here writes."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from schedules.day_notes.pressing import FROST_TOPICS, Pressing, Topic
from schedules.models import Delivery
from society.models import Member

# A fly or a gap in the rows is told once; the weekly letter goes on telling of it.
ONCE_IN = timedelta(days=60)
# Still evenings come in runs, and a thinning waits for the grower's own evening.
THIN_AGAIN = timedelta(days=3)
WENT_OUT = (Delivery.State.SENT, Delivery.State.DOUBTFUL, Delivery.State.HANDED_OVER)
NOTE, SECOND = "note", "frost"


@dataclass(frozen=True, slots=True)
class Said:
    """One member's notes: what was told on which day, and the rows of one evening by their subject."""

    told: Mapping[str, date] = field(default_factory=dict)
    rows: Mapping[str, Delivery] = field(default_factory=dict)

    def is_news(self, each: Pressing, *, evening: date) -> bool:
        """A frost is news every night; the rest once, and a good evening again after some days."""
        if each.topic in FROST_TOPICS:
            return self.told.get(f"{each.topic}@{each.sowing.key}") != evening
        last = self.told.get(each.key)
        if last is None or (last == evening and not self._went_out(NOTE)):
            return True
        return each.topic == Topic.THIN and evening - last >= THIN_AGAIN

    def _went_out(self, subject: str) -> bool:
        row = self.rows.get(subject)
        return row is not None and row.state in WENT_OUT


def said_before(members: Iterable[Member], *, evening: date) -> dict[int, Said]:
    """What each of these members was told, with this evening's rows; one query for all."""
    found: dict[int, tuple[dict[str, date], dict[str, Delivery]]] = {}
    rows = Delivery.objects.filter(
        member__in=[member.pk for member in members],
        kind=Delivery.Kind.DAY_NOTE,
        local_date__range=(evening - ONCE_IN, evening),
    ).defer("text", "html")
    for row in rows.order_by("local_date", "pk"):
        told, of_evening = found.setdefault(row.member_id or 0, ({}, {}))
        if row.state in WENT_OUT:
            told.update(dict.fromkeys(_keys(row.told), row.local_date))
        if row.local_date == evening:
            of_evening[row.subject_key] = row
    return {member: Said(told, of_evening) for member, (told, of_evening) in found.items()}


def _keys(told: object) -> Collection[str]:
    keys = told.get("keys") if isinstance(told, Mapping) else None
    return [str(key) for key in keys] if isinstance(keys, list) else []
