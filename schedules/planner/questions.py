"""What many sowings ask alike, and the answer in the form in which it is kept.

A question is a request without its name, with what the rules may heed of the record. The other records of a
sowing lead to lines of its own, whose explanations it still shares.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from hashlib import blake2b
from typing import Any, NamedTuple

from schedules.planner.planning import completed, heeded, outlined
from schedules.planner.site_curves import SiteCurves
from schedules.planner.sowing import WARM_LEAD_DAYS
from schedules.planner.types import (
    Job,
    Kind,
    Outcome,
    Plan,
    PlanFault,
    Reason,
    Record,
    SowingRequest,
    State,
    Window,
)

ASKER = "this sowing"
DIGEST_BYTES = 16
_encode = json.JSONEncoder(sort_keys=True, allow_nan=False).encode
_NOTHING: dict[type, str] = {list: "[]", dict: "{}"}
_ASKED = tuple(field.name for field in fields(SowingRequest) if field.name not in {"key", "crop"})

# What was recorded of a sowing's jobs, each named without the sowing ('weed-1'), in the order of names.
Marks = tuple[tuple[str, Outcome], ...]


class Told(NamedTuple):
    """An explanation as it is kept, known by the digest of what it says; what is not a word is JSON text."""

    content: str
    rule: str
    values: str
    source: str
    cautions: str
    notes: str
    warnings: str


class Line(NamedTuple):
    """A job as it is kept; ``told`` is its explanation's content."""

    name: str
    kind: str
    stage: int
    start: date
    best: date
    by: date
    done_on: date | None
    is_asked: bool
    told: str


class Answer(NamedTuple):
    """What is kept of one plan: its lines, its season, when the rows show, and what is said of it all."""

    lines: tuple[Line, ...]
    sow: tuple[date | None, date | None, date | None]
    shows: tuple[date | None, date | None, date | None]
    told: str


@dataclass(frozen=True, slots=True)
class Question:
    """A request in nobody's name; two of one digest get one answer."""

    request: SowingRequest
    heeded: Marks
    digest: str


@dataclass(frozen=True, slots=True)
class Answered:
    """The answers to one question, by what else was recorded, and the explanations they name."""

    answers: Mapping[Marks, Answer]
    told: Mapping[str, Told]


def question_of(request: SowingRequest, marks: Marks) -> Question:
    """Return what a sowing asks, whoever asks it."""
    seen = marks_of(heeded(record_of(marks), ASKER), ASKER) if marks else ()
    request = _plain(request, marks)
    words = [request.crop.key, *(f"{name}={getattr(request, name)!r}" for name in _ASKED)]
    words += [f"{name}:{outcome.state}:{outcome.on}" for name, outcome in seen]
    digest = blake2b("|".join(words).encode(), digest_size=DIGEST_BYTES).hexdigest()
    return Question(request, seen, digest)


def _plain(request: SowingRequest, marks: Marks) -> SowingRequest:
    """Return the request in nobody's name, and without what makes no difference to its answer.

    With a day set, the day before which nothing is asked only bounds the warming of the ground; once the
    crop is sown it bounds nothing that is still asked.
    """
    not_before = request.not_before
    if request.sow_on is not None:
        warmed_from = request.sow_on - timedelta(days=WARM_LEAD_DAYS)
        is_sown = any(name == Kind.SOW and outcome.state is State.DONE for name, outcome in marks)
        not_before = warmed_from if is_sown else max(warmed_from, min(not_before, request.sow_on))
    return replace(request, key=ASKER, not_before=not_before)


def record_of(marks: Marks) -> Record:
    """Return marks as the planner reads them."""
    return {f"{ASKER}/{name}": outcome for name, outcome in marks}


def marks_of(record: Record, request_key: str) -> Marks:
    """Return a record of one sowing without its name."""
    return tuple((key.removeprefix(f"{request_key}/"), record[key]) for key in sorted(record))


def answered(question: Question, all_marks: Iterable[Marks], shared: SiteCurves, today: date) -> Answered:
    """Plan a question once, and lay each of the records over it.

    A question that cannot be planned is answered with its fault as a warning, so that one bad row never
    stops the rest.
    """
    book = Book()
    try:
        outline = outlined(question.request, record_of(question.heeded), today, shared)
        return Answered(
            {marks: book.answer(completed(outline, ASKER, record_of(marks))) for marks in all_marks},
            book.told,
        )
    except PlanFault as fault:
        warning = Reason(rule="plan_fault", values={"fault": str(fault)}, source="")
        faulty = Plan(ASKER, question.request.crop.key, None, None, (), (warning,))
        return Answered(dict.fromkeys(all_marks, book.answer(faulty)), book.told)


class Book:
    """Puts plans of one question into the form in which they are kept, each explanation once."""

    def __init__(self) -> None:
        self._seen: dict[tuple[str, int], tuple[Reason, str]] = {}
        self.told: dict[str, Told] = {}

    def answer(self, plan: Plan) -> Answer:
        """Return a plan's answer; its explanations are in ``told`` then."""
        overview = self._tell(Reason("", {}, ""), notes=plan.outlook, warnings=plan.warnings)
        lines = tuple(self._line(job, len(plan.request_key) + 1) for job in plan.jobs)
        return Answer(lines, _dates(plan.sow), _dates(plan.emergence), overview)

    def _line(self, job: Job, crowd: int) -> Line:
        reason, told = self._seen.get((job.kind, job.stage), (None, ""))
        if reason is not job.reason:
            told = self._tell(job.reason, cautions=job.cautions, notes=job.notes)
            self._seen[job.kind, job.stage] = (job.reason, told)
        window = job.window
        return Line(
            job.key[crowd:],
            str(job.kind),
            job.stage,
            window.start,
            window.best,
            window.by,
            job.done_on if job.state is State.DONE else None,
            # An open job that the planner itself calls overtaken is asked for no longer.
            job.state is not State.NOT_NEEDED,
            told,
        )

    def _tell(
        self,
        reason: Reason,
        *,
        cautions: Iterable[str] = (),
        notes: Iterable[Reason] = (),
        warnings: Iterable[Reason] = (),
    ) -> str:
        said = (
            reason.rule,
            text_of(dict(reason.values)),
            reason.source,
            text_of(list(cautions)),
            text_of([stored(note) for note in notes]),
            text_of([stored(warning) for warning in warnings]),
        )
        content = content_of(said)
        self.told[content] = Told(content, *said)
        return content


def content_of(said: tuple[str, ...]) -> str:
    """Return the digest of everything that an explanation says."""
    return blake2b("\x1f".join(said).encode(), digest_size=DIGEST_BYTES).hexdigest()


def text_of(value: Any) -> str:
    """Return JSON text, the same for the same value whatever the order of its keys."""
    return _encode(value) if value else _NOTHING[type(value)]


def stored(reason: Reason) -> dict[str, Any]:
    """Return a reason as it lies in the database and goes out through the API."""
    return {"rule": reason.rule, "values": dict(reason.values), "source": reason.source}


def _dates(window: Window | None) -> tuple[date | None, date | None, date | None]:
    return (None, None, None) if window is None else (window.start, window.best, window.by)
