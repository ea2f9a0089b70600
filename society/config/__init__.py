"""Settings, addresses and the two applications that a server loads. Tasks must find their Celery app."""

from society.config.celery import app as celery_app

__all__ = ["celery_app"]
