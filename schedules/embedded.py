"""Periodic work inside the web process: Celery's own beat in one thread, its tasks run on the spot.

The schedule and the task functions are those of the full deployment. The schedule lives in memory: every
entry is a plain interval, so nothing is lost when it starts afresh.
"""

import logging
import threading
from pathlib import Path

from celery import Celery
from celery.beat import Scheduler, Service
from django.db import connections

from schedules.folder_locks import FolderLock, beat_lock

logger = logging.getLogger(__name__)

LONGEST_NAP_SECONDS = 1  # how long a stop may have to wait for the thread to wake
RETRY_SECONDS = 5.0


class EmbeddedBeat(threading.Thread):
    """The one beat of a data folder; in every other process it waits until the lock falls free."""

    def __init__(self, app: Celery, folder: Path, *, retry_seconds: float = RETRY_SECONDS) -> None:
        super().__init__(name="beat", daemon=True)
        self.app = app
        self.retry_seconds = retry_seconds
        self._lock: FolderLock = beat_lock(folder)
        self._stopping = threading.Event()
        self._service: Service | None = None

    @property
    def is_beating(self) -> bool:
        return self._service is not None

    def run(self) -> None:
        self.app.set_current()
        # Beat runs on the spot only what it knows; a task that is not imported goes to a broker that is none.
        self.app.loader.import_default_modules()
        try:
            while not self._stopping.is_set():
                if self._lock.take(alone=True):
                    self._beat()
                self._stopping.wait(self.retry_seconds)
        finally:
            self._lock.release()
            connections.close_all()

    def stop(self, *, seconds: float = 10.0) -> bool:
        """Ask the thread to end after the task in hand; False if it is still at it after so many seconds."""
        self._stopping.set()
        if self._service is not None:
            self._service.stop()
        if self.is_alive():
            self.join(seconds)
        return not self.is_alive()

    def _beat(self) -> None:
        """Run beat until it is stopped; a beat that fails is logged and begun again, never silently over."""
        service = Service(self.app, max_interval=LONGEST_NAP_SECONDS, scheduler_cls=Scheduler)
        self._service = service
        if self._stopping.is_set():  # stop() came before there was a service to tell
            return
        try:
            service.start()
        except Exception:
            logger.exception("the periodic work broke off; it begins again in %s s", self.retry_seconds)
        finally:
            self._service = None
