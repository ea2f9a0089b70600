"""Asking a worker to look at once. Only a courtesy: without it the next sweep finds the letter."""

import logging

from celery import current_app
from django.conf import settings
from django.db import transaction

log = logging.getLogger(__name__)

TASK = "schedules.tasks.deliveries_send"
# A page that has been saved waits no longer than this for a broker that does not answer.
PATIENCE_S = 1
LINE = {"socket_timeout": PATIENCE_S, "socket_connect_timeout": PATIENCE_S, "max_retries": 0}


def nudge_after_commit() -> None:
    transaction.on_commit(nudge, robust=True)


def nudge() -> None:
    """Put one message on the broker. Whatever goes wrong is logged and nothing else."""
    if settings.EMBEDDED:  # its one thread looks by itself, and no page waits for a mail server
        return
    try:
        with current_app.connection_for_write(transport_options=LINE) as line:
            current_app.send_task(TASK, connection=line, retry=False)
    except Exception as fault:  # noqa: BLE001 - the letter is written down; no broker may undo a save
        log.error("no worker could be nudged, the next sweep sends it: %s", type(fault).__name__)
