"""Django's admin, as a window: administrators look, nobody changes anything past the services."""

from django.contrib.admin.apps import AdminConfig


class ReadOnlyAdmin(AdminConfig):
    default_site = "society.admin_site.ReadOnlySite"
