"""The worker's sign of life: a file touched with every heartbeat, for whoever watches its container.

Loaded by ``celery worker -I society.config.liveness``. One worker to a temporary folder, as in a container.
Cheaper than asking the worker through the broker, and silent as soon as its main loop stands still.
"""

import tempfile
from pathlib import Path

from celery.signals import heartbeat_sent

SIGN_OF_LIFE = Path(tempfile.gettempdir(), "commonrow-worker-alive")


@heartbeat_sent.connect
def life_shown(**_: object) -> None:
    SIGN_OF_LIFE.touch()
