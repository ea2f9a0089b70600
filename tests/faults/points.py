"""Loaded by a worker (`-I tests.faults.points`): it kills itself, or its whole group, where the plan says.

The code of the house runs as it is; only between its steps somebody pulls the plug.
"""

import os
import signal
from datetime import datetime
from pathlib import Path
from typing import Any

from celery.signals import task_postrun, task_prerun
from django.db import connection

from schedules import deliveries
from schedules.deliveries import sending
from society.mail_lines import SmtpBackend, TimedLine
from tests.faults.steps import GROUP, IDLE, Plan

plan = Plan(Path(os.environ["FAULTS_FOLDER"]))


def point(step: str) -> None:
    plan.write_step(step)
    die_if_planned(step)


def die_if_planned(step: str) -> None:
    way = plan.take(step)
    if way is None:
        return
    if way == GROUP:
        os.killpg(os.getpgrp(), signal.SIGKILL)
    os.kill(os.getpid(), signal.SIGKILL)


def after(owner: Any, name: str, step: str) -> None:
    """Come to a step whenever a function has done its work."""
    function = getattr(owner, name)

    def with_point(*args: Any, **kwargs: Any) -> Any:
        answer = function(*args, **kwargs)
        if answer:
            point(step)
        return answer

    setattr(owner, name, with_point)


def sweep(*, now: datetime) -> int:
    moved = real_sweep(now=now)
    plan.write_sweep(now)
    point("swept")
    return moved


def watched_sql(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    answer = execute(sql, params, many, context)
    if sql.startswith('INSERT INTO "schedules_deliverystep"'):
        point("sent not committed" if "sent" in params else "move not committed")
    return answer


def advance(delivery: Any, *, to: str, **rest: Any) -> bool:
    is_ours = real_advance(delivery, to=to, **rest)
    if to in ("handed_over", "sent"):
        point("handed over" if to == "handed_over" else "sent noted")
    return is_ours


def send_body(line: TimedLine, quoted: bytes) -> None:
    point("recipient taken")
    half = len(quoted) // 2
    line.send(quoted[:half])
    point("half the body")
    line.send(quoted[half:])
    plan.write_step("dot sent")  # before it leaves, or a sibling that dies now would be counted too early
    line.send(b".\r\n")
    die_if_planned("dot sent")


def hand_over(line: TimedLine, **letter: Any) -> None:
    real_hand_over(line, **letter)
    point("answer read")


@task_prerun.connect
def begun(task: Any = None, **_: Any) -> None:
    if task.name == "schedules.tasks.deliveries_send":
        connection.execute_wrappers[:] = [watched_sql]
        point("run begun")


@task_postrun.connect
def ended(**_: Any) -> None:
    plan.write_step(IDLE)


real_sweep = deliveries.deliveries_sweep
deliveries.deliveries_sweep = sweep
real_advance, real_hand_over = sending.delivery_advance, TimedLine.hand_over
sending.delivery_advance = advance
TimedLine.send_body = send_body  # type: ignore[method-assign]
TimedLine.hand_over = hand_over  # type: ignore[method-assign]
after(deliveries, "deliveries_claim", "claimed")
after(sending, "message_of", "written")
after(SmtpBackend, "open", "line open")
