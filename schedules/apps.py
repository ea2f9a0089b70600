from django.apps import AppConfig


class SchedulesConfig(AppConfig):
    name = "schedules"
    verbose_name = "Time"
