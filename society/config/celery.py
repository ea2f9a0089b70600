"""The Celery application; its schedule is one table in settings."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.config.settings")

app = Celery("commonrow")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
