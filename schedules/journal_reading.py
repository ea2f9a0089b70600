"""The journal as people read it: codes and ids turned into names at reading time, in sentences.

Whatever was erased since is 'someone erased' or 'something erased'; the entry itself stays.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet

from plots.crops import UnknownCrop
from plots.crops import crop as crop_of
from plots.models import (
    Bed,
    CoWorker,
    GroundEvent,
    OtherUse,
    Plot,
    PlotOffer,
    Sighting,
    Site,
    Sowing,
    Tenancy,
    WaitingEntry,
)
from plots.rotation import problems
from schedules.journal_sentences import SENTENCES
from schedules.models import Delivery, Job, Notice, Screen
from schedules.record_words import counted_words
from society.journal import BY_LETTER
from society.models import Account, AccountMember, JournalEntry, Member

SOMEONE, SOMETHING = "someone erased", "something erased"

KINDS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "people": ("members and seats", ("society.society", "society.member", "society.committeeseat")),
    "accounts": ("log-ins", ("society.account", "society.invitation", "society.absence")),
    "tenancies": ("tenancies and waiting", (
        "plots.tenancy", "plots.coworker", "plots.waitingentry", "plots.plotoffer",
    )),
    "land": ("plots and beds", ("plots.site", "plots.plot", "plots.bed")),
    "readings": ("weather typed in", ("schedules.reading",)),
    "sowings": ("sowings and jobs", ("plots.sowing", "schedules.job")),
    "ground": ("the ground", (
        "plots.groundverdict", "plots.groundevent", "plots.sighting", "plots.otheruse", "plots.groundcustoms",
    )),
    "letters": ("letters and notices", ("schedules.delivery", "schedules.notice")),
    "screens": ("screens", ("schedules.screen",)),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class JournalLine:
    at: datetime
    who: str
    what: str


def journal_of(kind: str = "") -> QuerySet[JournalEntry]:
    """The journal, newest first, of one kind or of all."""
    rows = JournalEntry.objects.order_by("-at", "-pk")
    return rows.filter(subject__in=KINDS[kind][1]) if kind else rows


def journal_lines(entries: Iterable[JournalEntry]) -> list[JournalLine]:
    """Sentences for these entries. A fixed number of queries, however many they are."""
    rows = list(entries)
    names = _Names(rows)
    return [JournalLine(entry.at, names.who(entry), names.sentence(entry)) for entry in rows]


class _Names:
    """The names behind the ids of some entries, each table read once."""

    def __init__(self, entries: Sequence[JournalEntry]) -> None:
        wanted: dict[str, set[str]] = defaultdict(set)
        for entry in entries:
            wanted[entry.subject].add(entry.subject_id)
            for key, subject in _LINKS.items():
                for value in _several(entry.values.get(key)):
                    wanted[subject].add(str(value))
        accounts = {entry.account_id_then for entry in entries if entry.account_id_then is not None}
        self._accounts = _account_names(accounts)
        self._names = {
            subject: _READERS[subject](ids) for subject, ids in wanted.items() if subject in _READERS
        }

    def who(self, entry: JournalEntry) -> str:
        if entry.account_id_then is None:
            reader = entry.values.get(BY_LETTER)
            return f"{self._name('society.member', str(reader))}, by letter" if reader else "The server"
        return self._accounts.get(entry.account_id_then, "Someone erased")

    def sentence(self, entry: JournalEntry) -> str:
        words = {
            "subject": self._name(entry.subject, entry.subject_id),
            "fields": _fields(entry.values.get("fields", [])),
            "crop": _crop_name(entry.values.get("crop", "")),
            **{key: self._listed(subject, entry.values.get(key)) for key, subject in _LINKS.items()},
            **{key: _day(entry.values.get(key)) for key in ("since", "until", "on", "lapses_on", "before")},
            "answer": "yes" if entry.values.get("answer") == "yes" else "no",
            "season": str(entry.values.get("season", "")),
            "counted": counted_words(entry.values),
            "count": str(entry.values.get("count", "")),
        }
        pattern = SENTENCES.get(entry.action)
        if pattern is None:
            return f"{entry.action.replace('.', ' ').replace('_', ' ')}: {words['subject']}"
        return pattern.format_map(words)

    def _name(self, subject: str, key: str) -> str:
        gone = SOMEONE if subject in _PEOPLE else SOMETHING
        return self._names.get(subject, {}).get(key, gone)

    def _listed(self, subject: str, value: Any) -> str:
        names = [self._name(subject, str(each)) for each in _several(value)]
        return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]])) or SOMEONE


def _several(value: Any) -> list[Any]:
    if value is None:
        return []
    return list(value) if isinstance(value, list) else [value]


def _day(value: Any) -> str:
    try:
        day = date.fromisoformat(str(value))
    except ValueError:
        return "a day not noted"
    return f"{day.day} {day:%B %Y}"


def _fields(names: Sequence[str]) -> str:
    said = [_FIELD_WORDS.get(name, name.replace("_", " ")) for name in names]
    return " and ".join(filter(None, [", ".join(said[:-1]), *said[-1:]])) or "something"


def _crop_name(key: str) -> str:
    try:
        return crop_of(key).name if key else "a crop"
    except UnknownCrop:
        return key


def _account_names(ids: set[int]) -> dict[int, str]:
    """An account goes by the members it acts for, else by its address."""
    names: dict[int, list[str]] = defaultdict(list)
    links = AccountMember.objects.filter(account__in=ids, until__isnull=True).select_related("member")
    for link in links.order_by("pk"):
        names[link.account_id].append(link.member.name)
    addresses = dict(Account.objects.filter(pk__in=ids).values_list("pk", "email"))
    return {pk: " and ".join(names[pk]) or address for pk, address in addresses.items()}


def _read(
    rows: QuerySet[Any], say: Callable[[Any], str], *, by: str = "pk"
) -> Callable[[set[str]], dict[str, str]]:
    def read(ids: set[str]) -> dict[str, str]:
        known = ids if by != "pk" else {key for key in ids if key.isdecimal()}
        return {str(getattr(row, by)): say(row) for row in rows.all().filter(**{f"{by}__in": known})}

    return read


def _plot_of(sowing: Sowing) -> str:
    return f"{sowing.crop_name} on plot {sowing.patch.plot.number}"


def _problem_of(sighting: Sighting) -> str:
    problem = problems().get(sighting.problem)
    return f"{problem.name if problem else sighting.problem} on plot {sighting.plot.number}"


# Values that hold an id, and what it is an id of.
_LINKS = {
    "plot": "plots.plot",
    "plots": "plots.plot",
    "site": "plots.site",
    "member": "society.member",
    BY_LETTER: "society.member",
    "members": "society.member",
    "stand_in": "society.member",
}
_PEOPLE = {
    "society.member",
    "society.account",
    "society.committeeseat",
    "society.invitation",
    "society.absence",
}
_FIELD_WORDS = {
    "outline": "the corners",
    "area_m2": "the area",
    "number": "the number",
    "name": "the name",
    "email": "the e-mail address",
    "text": "the words",
    "zone": "the time zone",
    "latitude": "the latitude",
    "longitude": "the longitude",
    "insects": "the insects of the region",
    "frost_words": "the words for frost",
    "season_month": "the month in which the season begins",
    "season_day": "the day on which the season begins",
    "units": "the measures",
    "joined_on": "the day of joining",
    "record_since": "the beginning of the record",
    "laid_out_on": "the day it was laid out",
    "is_public": "who reads it",
    "since": "the first day",
    "until": "the last day",
    "patch": "the ground",
    "sow_on": "the day of sowing",
    "not_before": "the earliest day",
    "kind": "the kind",
    "height_m": "the height",
    "soil": "the soil",
    "cover": "the cover",
    "crop": "the crop",
    "variety": "the variety",
    "season": "the season",
    "last_season": "the last season",
    "state": "the state",
    "ended_on": "the day it came out",
    "weekly": "the weekly letter",
    "day_notes": "day notes",
    "notices": "urgent notices",
    "digest": "the letters to the committee",
}
_READERS: Mapping[str, Callable[[set[str]], dict[str, str]]] = {
    "society.member": _read(Member.objects.all(), lambda row: row.name),
    "society.account": lambda ids: {
        str(pk): name for pk, name in _account_names({int(key) for key in ids if key.isdecimal()}).items()
    },
    "plots.site": _read(Site.objects.all(), lambda row: row.name),
    "plots.plot": _read(Plot.objects.all(), lambda row: f"plot {row.number}"),
    "plots.bed": _read(
        Bed.objects.select_related("plot"), lambda row: f"{row.name} on plot {row.plot.number}"
    ),
    "plots.tenancy": _read(Tenancy.objects.select_related("plot"), lambda row: f"plot {row.plot.number}"),
    "plots.coworker": _read(CoWorker.objects.select_related("plot"), lambda row: f"plot {row.plot.number}"),
    "plots.waitingentry": _read(WaitingEntry.objects.select_related("site"), lambda row: row.site.name),
    "plots.plotoffer": _read(PlotOffer.objects.select_related("plot"), lambda row: f"plot {row.plot.number}"),
    "plots.sowing": _read(Sowing.objects.select_related("patch__plot"), _plot_of),
    "plots.groundevent": _read(
        GroundEvent.objects.select_related("plot"),
        lambda row: f"{row.get_kind_display()} on plot {row.plot.number}",
    ),
    "plots.sighting": _read(Sighting.objects.select_related("plot"), _problem_of),
    "plots.otheruse": _read(
        OtherUse.objects.select_related("plot"), lambda row: f"{row.name} on plot {row.plot.number}"
    ),
    "schedules.job": _read(
        Job.objects.select_related("sowing__patch__plot"),
        lambda row: f"{row.kind}, {_plot_of(row.sowing)}",
        by="key",
    ),
    "schedules.notice": _read(Notice.objects.all(), lambda row: f"“{row.text[:40]}”"),
    "schedules.screen": _read(Screen.objects.all(), lambda row: row.name),
    "schedules.delivery": _read(Delivery.objects.all(), lambda row: row.get_kind_display()),
}
