"""Asking the planner many questions: in this process, or with helpers where there are enough of them.

Helpers are plain child processes at the end of a pipe. A worker of a task queue may not have children of
the multiprocessing kind; and one whose asker dies reads the end of its pipe and ends as well.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import fields
from datetime import date
from pathlib import Path
from queue import SimpleQueue
from typing import IO, Any, NamedTuple, Protocol, cast

from plots.crops import crop as crop_of
from schedules.agronomy.climate import Ensemble
from schedules.planner import SiteFacts, SowingRequest
from schedules.planner.questions import Answered, Marks, Question, Told, answered
from schedules.planner.site_curves import SiteCurves

# Below this the time to start processes is not won back.
WORTH_HELPERS = 4000
MOST_HELPERS = 4
A_BATCH = 16
MOST_KNOWN = 10_000
HELPER = "schedules.planning_helper"
ROOT = Path(__file__).resolve().parent.parent


class Asked(NamedTuple):
    """A question and every set of records that a sowing brings to it."""

    question: Question
    marks: tuple[Marks, ...]


Answers = Callable[[], list[Answered]]


class Planners(Protocol):
    """Takes questions, and gives a way to fetch the answers later, in the order of the questions.

    Helpers are at work on them meanwhile; without helpers they are worked out when they are fetched.
    """

    def __call__(self, asked: Sequence[Asked]) -> Answers: ...


class Sealed(NamedTuple):
    """A question as it goes through a pipe: crops are the same on both sides, and go by name."""

    crop: str
    values: dict[str, Any]
    heeded: Marks
    digest: str
    marks: tuple[Marks, ...]


@contextmanager
def planners(facts: SiteFacts, weather: Ensemble, today: date, *, sowings: int) -> Iterator[Planners]:
    """Something that answers questions about one site on one day, as fast as ``sowings`` of them deserve."""
    count = min(MOST_HELPERS, os.cpu_count() or 1)
    if sowings < WORTH_HELPERS or count < 2:
        shared = SiteCurves(weather, facts)
        yield lambda asked: lambda: [answered(each.question, each.marks, shared, today) for each in asked]
        return
    helpers = [_Helper(facts, weather, today) for _ in range(count)]
    free: SimpleQueue[_Helper] = SimpleQueue()
    for helper in helpers:
        free.put(helper)

    def ask_one(batch: Sequence[Asked]) -> list[Answered]:
        helper = free.get()
        try:
            return helper.ask(batch)
        finally:
            free.put(helper)

    def ask(asked: Sequence[Asked]) -> Answers:
        batches = [asked[at : at + A_BATCH] for at in range(0, len(asked), A_BATCH)]
        coming = [threads.submit(ask_one, batch) for batch in batches]
        return lambda: [answer for each in coming for answer in each.result()]

    threads = ThreadPoolExecutor(count)
    try:
        yield ask
    finally:
        threads.shutdown(cancel_futures=True)
        for helper in helpers:
            helper.end()


class _Helper:
    """One child process, from its start until ``end``."""

    def __init__(self, facts: SiteFacts, weather: Ensemble, today: date) -> None:
        self._process = subprocess.Popen(  # noqa: S603  # this very interpreter
            [sys.executable, "-m", HELPER], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        self._send((facts, weather, today))

    def ask(self, batch: Sequence[Asked]) -> list[Answered]:
        self._send([_sealed(asked) for asked in batch])
        answers = pickle.load(cast(IO[bytes], self._process.stdout))  # noqa: S301  # our own child's
        if isinstance(answers, Exception):
            raise answers
        return cast(list[Answered], answers)

    def end(self) -> None:
        self._process.kill()
        self._process.communicate()

    def _send(self, words: object) -> None:
        pipe = cast(IO[bytes], self._process.stdin)
        pickle.dump(words, pipe, protocol=pickle.HIGHEST_PROTOCOL)
        pipe.flush()


def help_out(questions: IO[bytes], answers: IO[bytes]) -> None:
    """Answer what comes through one pipe into the other until it ends."""
    facts, weather, today = pickle.load(questions)  # noqa: S301  # from the process that started this one
    shared, known = SiteCurves(weather, facts), Known()
    while True:
        try:
            batch: list[Sealed] = pickle.load(questions)  # noqa: S301
        except EOFError:
            return
        answer: list[Answered] | Exception
        try:
            answer = [known.of(answered(_opened(each), each.marks, shared, today)) for each in batch]
        except Exception as fault:  # noqa: BLE001  # it is raised where the question was asked
            answer = fault
        pickle.dump(answer, answers, protocol=pickle.HIGHEST_PROTOCOL)
        answers.flush()


class Known:
    """Makes one object of explanations that say the same, so that a batch carries each of them once."""

    def __init__(self) -> None:
        self._told: dict[str, Told] = {}

    def of(self, answer: Answered) -> Answered:
        if len(self._told) > MOST_KNOWN:
            self._told.clear()
        told = {content: self._told.setdefault(content, each) for content, each in answer.told.items()}
        return Answered(answer.answers, told)


def _sealed(asked: Asked) -> Sealed:
    request = asked.question.request
    values = {field.name: getattr(request, field.name) for field in fields(request) if field.name != "crop"}
    return Sealed(request.crop.key, values, asked.question.heeded, asked.question.digest, asked.marks)


def _opened(sealed: Sealed) -> Question:
    request = SowingRequest(crop=crop_of(sealed.crop), **sealed.values)
    return Question(request, sealed.heeded, sealed.digest)
