"""The web server of the embedded mode: gunicorn, one process with a few threads and the beat beside them."""

import errno
import signal
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connections
from gunicorn.app.base import BaseApplication

from schedules.embedded import EmbeddedBeat
from schedules.folder_locks import in_use_lock
from society.config.celery import app as celery_app

WORKERS = 1
THREADS = 4
STOP_SECONDS = 10


class CannotServe(Exception):
    """Why the server cannot start here, with the remedy."""


def port_check(*, host: str, port: int, command: str) -> None:
    """Raise CannotServe, before any slow work, if nobody could listen there."""
    if not 1 <= port <= 65535:
        raise CannotServe(f"--port: {port} is no port; take a number from 1024 to 65535, for example 8001.")
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as fault:
            raise CannotServe(_why_not(fault, host, port, command)) from fault


def _why_not(fault: OSError, host: str, port: int, command: str) -> str:
    if fault.errno == errno.EADDRINUSE:
        other = port + 1 if port < 65535 else port - 1
        return (
            f"Port {port} on {host} is taken by another program. Stop that one, or take another port: "
            f"manage.py {command} --port {other}"
        )
    if fault.errno == errno.EACCES:
        return f"--port: port {port} is kept for the system; take one above 1023, for example 8001."
    return f"Cannot listen on {host}, port {port}: {fault.strerror or fault}."


class EmbeddedServer(BaseApplication):
    """Gunicorn with the project's application loaded before the fork and the beat started after it."""

    def __init__(self, *, host: str, port: int, folder: Path, on_ready: Callable[[], None]) -> None:
        self.host, self.port, self.folder, self.on_ready = host, port, folder, on_ready
        self.beat: EmbeddedBeat | None = None
        super().__init__()

    def load_config(self) -> None:
        address = f"[{self.host}]" if ":" in self.host else self.host
        values: dict[str, Any] = {
            "bind": f"{address}:{self.port}",
            "workers": WORKERS,
            "worker_class": "gthread",
            "threads": THREADS,
            "preload_app": True,
            "accesslog": None,
            "loglevel": "warning",
            "graceful_timeout": STOP_SECONDS,
            "control_socket_disable": True,
            "when_ready": lambda _arbiter: self.on_ready(),
            "post_worker_init": lambda _worker: self._worker_begin(),
            "worker_exit": lambda _arbiter, _worker: self._beat_stop(),
        }
        for name, value in values.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        from society.config.wsgi import application  # settings must be complete before it is built

        (self.folder / "static").mkdir(parents=True, exist_ok=True)  # whitenoise warns where it is missing
        connections.close_all()  # a database connection does not survive a fork
        return application

    def _worker_begin(self) -> None:
        # Ctrl+C reaches every process of a terminal. The first one tells this one to quit; told twice,
        # gunicorn's thread worker would wait for a lock that it holds itself.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        self.beat = EmbeddedBeat(celery_app, self.folder)
        self.beat.start()

    def _beat_stop(self) -> None:
        if self.beat is not None:
            self.beat.stop(seconds=STOP_SECONDS)


def serve(*, host: str, port: int, on_ready: Callable[[], None]) -> None:
    """Serve until a signal ends it. Raises CannotServe while somebody exchanges the database."""
    folder = Path(settings.DATA_FOLDER)
    lock = in_use_lock(folder)
    if not lock.take(alone=False):
        raise CannotServe(f"Another Commonrow is just setting up {folder}. Wait a moment and try again.")
    try:
        EmbeddedServer(host=host, port=port, folder=folder, on_ready=on_ready).run()
    finally:
        lock.release()
