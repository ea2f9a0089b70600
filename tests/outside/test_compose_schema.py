"""docker-compose.yml against the published schema of the Compose Specification.

Source: compose-spec/compose-spec on GitHub, schema/compose-spec.json, Apache-2.0, as the package
check-jsonschema 0.39.0 carries it with its licence (builtin_schemas/vendor/licenses/LICENSE.compose-spec).
"""

import hashlib
import json
from importlib.resources import files
from typing import Any

import pytest
from jsonschema.validators import validator_for

from tests.deployment.compose_file import DOT_ENV, compose_file, filled_in

VENDOR = files("check_jsonschema") / "builtin_schemas" / "vendor"
# The schema's digest as the package states it; a schema that changes is looked at before it is believed.
SHA256 = "d549057ebc2925f39f62799eab0db7b9e2c18b35b6c00595199116da3ed10e64"


def complaints(compose: dict[str, Any]) -> list[str]:
    schema = json.loads((VENDOR / "compose-spec.json").read_text(encoding="utf-8"))
    validator = validator_for(schema)
    validator.check_schema(schema)
    return [f"{fault.json_path}: {fault.message}" for fault in validator(schema).iter_errors(compose)]


def test_the_schema_is_the_published_one() -> None:
    schema = (VENDOR / "compose-spec.json").read_bytes()
    assert hashlib.sha256(schema).hexdigest() == SHA256
    assert json.loads(schema)["title"] == "Compose Specification"


def test_the_file_is_valid_as_written_and_as_filled_in() -> None:
    assert complaints(compose_file()) == []
    assert complaints(filled_in(compose_file(), DOT_ENV)) == []


@pytest.mark.parametrize(
    ("part", "planted"),
    [
        ("healthcheck", {"test": ["CMD", "true"], "intervall": "5s"}),
        ("depends_on", {"redis": {"condition": "service_is_up"}}),
        ("read_only", {"root": True}),
        ("helthcheck", {"test": ["CMD", "true"]}),
    ],
)
def test_the_schema_catches_a_planted_fault(part: str, planted: object) -> None:
    compose = compose_file()
    compose["services"]["web"][part] = planted
    assert any("web" in complaint for complaint in complaints(compose))
