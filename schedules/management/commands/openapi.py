"""`manage.py openapi`: write the API's description anew after a change of the API."""

from typing import Any

from django.core.management.base import BaseCommand
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer

from schedules.api import SchemaFile


def openapi_text() -> str:
    """The description as the code has it. A doubt of the generator is a fault."""
    with GENERATOR_STATS.silence():
        schema = SchemaGenerator().get_schema(request=None, public=True)
    return OpenApiYamlRenderer().render(schema, renderer_context={}).decode()


class Command(BaseCommand):
    help = "Write schedules/openapi.yaml, the description that /api/schema/ serves."

    def handle(self, *args: Any, **options: Any) -> None:
        SchemaFile.path.write_text(openapi_text(), encoding="utf-8")
