"""Periodic work. Each task may run twice, or at once with itself: the rows decide what is done."""

import time

from celery import shared_task
from django.db import close_old_connections

from schedules import deliveries, forecast_services, plan_services
from schedules.models import Sweep
from society import clock

MOST_LETTERS_A_RUN = 500
# Under the soft time limit of a task, with room for one slow letter.
LONGEST_RUN_S = 35.0


@shared_task
def deliveries_plan() -> None:
    """Write down the letters that fall due."""
    close_old_connections()
    deliveries.deliveries_plan(now=clock.now())
    _finished("deliveries_plan")


@shared_task
def deliveries_send() -> None:
    """Pick up what dead workers left, then send what is due, one letter at a time."""
    close_old_connections()
    ends = time.monotonic() + LONGEST_RUN_S
    deliveries.deliveries_sweep(now=clock.now())
    handled = 0
    with deliveries.Post() as post:
        # One letter a claim: when a worker dies, no other letter waits for its lease or loses a try.
        while handled < MOST_LETTERS_A_RUN and time.monotonic() < ends:
            claimed = deliveries.deliveries_claim(now=clock.now(), limit=1)
            if not claimed:
                break
            deliveries.delivery_send(claimed[0], post=post, now=clock.now())
            handled += 1
    _finished("deliveries_send")


@shared_task
def plans_refresh() -> None:
    """Work out every sowing again with today's weather."""
    close_old_connections()
    plan_services.all_replan(now=clock.now())
    _finished("plans_refresh")


@shared_task
def forecasts_refresh() -> None:
    """Ask for the forecasts whose time has come, and drop what is too old to go by."""
    close_old_connections()
    forecast_services.forecasts_refresh(now=clock.now())
    _finished("forecasts_refresh")


def _finished(name: str) -> None:
    Sweep.objects.update_or_create(name=name, defaults={"finished_at": clock.now()})
