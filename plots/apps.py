from django.apps import AppConfig
from django.db.backends.signals import connection_created


class PlotsConfig(AppConfig):
    name = "plots"
    verbose_name = "Ground"

    def ready(self) -> None:
        from plots.natural_sorting import lend_to_sqlite

        connection_created.connect(lend_to_sqlite, dispatch_uid="naturally")
