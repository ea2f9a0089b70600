"""The API's description: valid, up to date, and true of what the API answers."""

import pytest
import yaml
from django.core.cache import cache
from django.core.management import call_command
from django.test import Client
from openapi_spec_validator import OpenAPIV31SpecValidator

from schedules.api import SchemaFile
from schedules.management.commands.openapi import openapi_text

REMEDY = (
    "the API and its description differ; run 'uv run manage.py openapi' and commit schedules/openapi.yaml"
)


@pytest.fixture(scope="module")
def schema() -> dict:
    return yaml.safe_load(SchemaFile.path.read_text(encoding="utf-8"))


def test_the_committed_description_is_up_to_date():
    assert SchemaFile.path.read_text(encoding="utf-8") == openapi_text(), REMEDY


def test_the_command_writes_the_description(tmp_path, monkeypatch):
    monkeypatch.setattr(SchemaFile, "path", tmp_path / "openapi.yaml")

    call_command("openapi")

    assert SchemaFile.path.read_text(encoding="utf-8") == openapi_text()


def test_it_is_valid_openapi_31(schema):
    assert schema["openapi"] == "3.1.1"
    assert list(OpenAPIV31SpecValidator(schema).iter_errors()) == []


def test_it_is_served_to_everybody(db, schema):
    answer = Client().get("/api/schema/")

    assert yaml.safe_load(answer.content) == schema


def test_every_refusal_is_a_problem(schema):
    answers = [
        (path, status, list(answer["content"]))
        for path, methods in schema["paths"].items()
        for operation in methods.values()
        for status, answer in operation["responses"].items()
        if status >= "400"
    ]

    assert len(answers) >= 15
    assert [each for each in answers if each[2] != ["application/problem+json"]] == []


def test_it_describes_every_address_of_the_first_version(schema):
    assert set(schema["paths"]) == {
        "/api/v1/noticeboard/",
        "/api/v1/screen/pairings/",
        "/api/v1/screen/pairings/token/",
    }


@pytest.mark.parametrize("method", ["get", "post", "put", "patch", "delete", "options", "head"])
def test_every_answer_without_a_token_is_described(db, schema, method):
    cache.clear()
    for path, methods in schema["paths"].items():
        answer = getattr(Client(), method)(path)
        described = methods.get(method) or next(iter(methods.values()))
        assert str(answer.status_code) in described["responses"], (method, path)
        content = described["responses"][str(answer.status_code)]["content"]
        assert answer["Content-Type"] in content
