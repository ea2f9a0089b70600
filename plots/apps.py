from django.apps import AppConfig


class PlotsConfig(AppConfig):
    name = "plots"
    verbose_name = "Ground"
