"""Gunicorn's settings for a web process that believes it has run for long: the rest is as deployed.

/readyz forgives a young process what is late, for ten minutes. A test cannot wait for that.
"""

from typing import Any


def post_worker_init(_worker: Any) -> None:
    from schedules import health  # models only after gunicorn has loaded the application

    health.PROCESS_BEGAN -= health.STARTING_S
