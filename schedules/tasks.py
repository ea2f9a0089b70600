"""Periodic work. Each task may run twice, or at once with itself: the rows decide what is done."""

import time

from celery import current_app, shared_task
from django.conf import settings
from django.db import connections

from plots.layout_services import NIGHT_SECONDS, PAGE_SECONDS
from schedules import deliveries, forecast_services, ground_nights, layout_nights, plan_services
from schedules.deliveries.nudging import nudge
from schedules.deliveries.pace import seconds_until_room
from schedules.deliveries.reading_ahead import ReadAhead
from schedules.models import Sweep
from society import clock

MOST_SENDERS = 4
LETTERS_A_SENDER = 500
LONGEST_WAIT_EMBEDDED_S = 2.0
# Under the soft time limit of a task.
LONGEST_RUN_S = 35.0
LONGEST_REPLAN_S = 1800
LONGEST_LAYOUT_S = 120


@shared_task
def deliveries_plan() -> None:
    """Write down the letters that fall due, and ask for senders: one more for every few hundred."""
    _fresh_connections()
    new = deliveries.deliveries_plan(now=clock.now())
    for _ in range(min(MOST_SENDERS, -(-new // LETTERS_A_SENDER))):
        nudge()
    _finished("deliveries_plan")


@shared_task
def deliveries_send() -> None:
    """Pick up what dead workers left, then send what is due, one letter at a time."""
    _fresh_connections()
    ends = time.monotonic() + settings.LETTERS_RUN_SECONDS
    deliveries.deliveries_sweep(now=clock.now())
    left_over, ahead = False, ReadAhead()
    with deliveries.Post() as post:
        # One letter a claim: when a worker dies, no other letter waits for its lease or loses a try.
        while not post.in_trouble and _room_by(ends):
            claimed = deliveries.deliveries_claim(now=clock.now(), limit=1)
            if not claimed:
                break
            deliveries.delivery_send(claimed[0], post=post, now=clock.now(), ahead=ahead)
        else:
            left_over = not post.in_trouble and not settings.MAIL_PER_MINUTE
    _finished("deliveries_send")
    if left_over:
        nudge()


def _room_by(ends: float) -> bool:
    """Wait until the provider's rate lets another letter go; False when that is after the run."""
    wait_s = seconds_until_room(now=clock.now())
    # In the embedded mode all other periodic work waits in the same thread.
    longest_s = LONGEST_WAIT_EMBEDDED_S if settings.EMBEDDED else ends - time.monotonic()
    if wait_s > longest_s:
        return False
    time.sleep(wait_s)
    return time.monotonic() < ends


# A big society takes minutes, and each part that is written stays written: no reason to stop it half-way.
@shared_task(soft_time_limit=LONGEST_REPLAN_S, time_limit=LONGEST_REPLAN_S + 60)
def plans_refresh() -> None:
    """Work out every sowing again with today's weather."""
    _fresh_connections()
    plan_services.all_replan(now=clock.now())
    _finished("plans_refresh")


@shared_task(soft_time_limit=LONGEST_REPLAN_S, time_limit=LONGEST_REPLAN_S + 60)
def grounds_check() -> None:
    """Where it is night, judge all ground again."""
    _fresh_connections()
    ground_nights.grounds_check(now=clock.now())
    _finished("grounds_check")


@shared_task
def layouts_refresh() -> None:
    """Where it is night, have layouts worked out for the plots whose wishes wait; one task a plot."""
    _fresh_connections()
    ends = time.monotonic() + LONGEST_RUN_S
    for plot in layout_nights.plots_due(now=clock.now()):
        if time.monotonic() > ends:  # in the embedded mode each is worked out here and now
            break
        layout_propose.delay(plot)
    _finished("layouts_refresh")


@shared_task(soft_time_limit=LONGEST_LAYOUT_S, time_limit=LONGEST_LAYOUT_S + 30)
def layout_propose(plot: int) -> None:
    """Work out one plot's layout, unless this night it has been done."""
    _fresh_connections()
    # Letters wait behind it where everything runs in one thread.
    seconds = PAGE_SECONDS if current_app.conf.task_always_eager else NIGHT_SECONDS
    layout_nights.plot_layout_propose(plot=plot, now=clock.now(), seconds=seconds)


@shared_task
def forecasts_refresh() -> None:
    """Ask for the forecasts whose time has come, and drop what is too old to go by."""
    _fresh_connections()
    forecast_services.forecasts_refresh(now=clock.now())
    _finished("forecasts_refresh")


def _fresh_connections() -> None:
    """Drop connections that died or grew too old since the last task; one in a transaction is its owner's."""
    for connection in connections.all(initialized_only=True):
        if not connection.in_atomic_block:
            connection.close_if_unusable_or_obsolete()


def _finished(name: str) -> None:
    Sweep.objects.update_or_create(name=name, defaults={"finished_at": clock.now()})
