"""The Celery application; its schedule is one table in settings."""

import os

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.config.settings")

TRANSPORT_ALIASES["redis"] = TRANSPORT_ALIASES["rediss"] = "society.config.broker:Transport"

app = Celery("commonrow")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
