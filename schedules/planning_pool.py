"""Asking the planner many questions: in this process, or in several where there are enough of them."""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import fields
from datetime import date
from multiprocessing import current_process, get_context
from typing import Any, NamedTuple, Protocol

from plots.crops import crop as crop_of
from schedules.agronomy.climate import Ensemble
from schedules.planner import SiteFacts, SowingRequest
from schedules.planner.questions import Answered, Marks, Question, answered
from schedules.planner.site_curves import SiteCurves

# Below this the time to start processes is not won back.
WORTH_PROCESSES = 4000
MOST_PROCESSES = 4
A_BATCH = 16


class Asked(NamedTuple):
    """A question and every set of records that a sowing brings to it."""

    question: Question
    marks: tuple[Marks, ...]


class Planners(Protocol):
    """Answers questions in the order in which they are asked."""

    def __call__(self, asked: Sequence[Asked]) -> list[Answered]: ...


@contextmanager
def planners(facts: SiteFacts, weather: Ensemble, today: date, *, sowings: int) -> Iterator[Planners]:
    """Something that answers questions about one site on one day, as fast as ``sowings`` of them deserve."""
    processes = min(MOST_PROCESSES, os.cpu_count() or 1)
    if sowings < WORTH_PROCESSES or processes < 2 or current_process().daemon:
        shared = SiteCurves(weather, facts)
        yield lambda asked: [answered(each.question, each.marks, shared, today) for each in asked]
        return
    # Started afresh, not forked: this process may have threads, and has a database connection.
    with ProcessPoolExecutor(processes, get_context("spawn"), _begin, (facts, weather, today)) as pool:

        def ask(asked: Sequence[Asked]) -> list[Answered]:
            return list(pool.map(_answer, map(_sealed, asked), chunksize=A_BATCH))

        yield ask


class _Sealed(NamedTuple):
    crop: str
    values: dict[str, Any]
    heeded: Marks
    digest: str
    marks: tuple[Marks, ...]


_site: dict[str, tuple[SiteCurves, date]] = {}


def _begin(facts: SiteFacts, weather: Ensemble, today: date) -> None:
    _site["now"] = (SiteCurves(weather, facts), today)


def _sealed(asked: Asked) -> _Sealed:
    """What another process can be sent: crops are the same there, and go by name."""
    request = asked.question.request
    values = {field.name: getattr(request, field.name) for field in fields(request) if field.name != "crop"}
    return _Sealed(request.crop.key, values, asked.question.heeded, asked.question.digest, asked.marks)


def _answer(sealed: _Sealed) -> Answered:
    request = SowingRequest(crop=crop_of(sealed.crop), **sealed.values)
    return answered(Question(request, sealed.heeded, sealed.digest), sealed.marks, *_site["now"])
