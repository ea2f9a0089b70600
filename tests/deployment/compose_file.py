"""docker-compose.yml as its tests read it: the values filled in as Compose would, and what they name."""

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]
PATH = ROOT / "docker-compose.yml"
# The file's own examples, as an operator would write them into .env.
DOT_ENV = {
    "COMMONROW_SECRET_KEY": "only-for-tests-0123456789-abcdefghijklmnopqrstuvwxyz-ABCDEFGHIJ",
    "COMMONROW_PUBLIC_URL": "https://plots.example",
    "COMMONROW_HOSTS": "plots.example",
    "COMMONROW_MAIL_FROM": "letters@plots.example",
    "POSTGRES_PASSWORD": "lettersanddigits123",
}
VARIABLE = re.compile(r"\$(?:(\$)|\{([A-Z][A-Z0-9_]*)(?:(:[-?])([^}]*))?\})")
READERS = {
    "text",
    "flag",
    "whole_number",
    "words",
    "one_of",
    "day",
    "web_address",
    "secure_address",
    "mail_address",
    "contact",
}


class NotGiven(Exception):
    """A variable that the file insists on and .env lacks."""


def compose_file() -> dict[str, Any]:
    return dict(yaml.safe_load(PATH.read_text(encoding="utf-8")))


def filled_in(value: Any, given: Mapping[str, str]) -> Any:
    """The value with ${NAME}, ${NAME:-default}, ${NAME:?message} and $$ replaced, at every depth."""
    if isinstance(value, dict):
        return {key: filled_in(inner, given) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(filled_in(inner, given) for inner in value)
    return VARIABLE.sub(lambda match: _one(match, given), value) if isinstance(value, str) else value


def _one(match: re.Match[str], given: Mapping[str, str]) -> str:
    dollar, name, how, rest = match.groups()
    if dollar:
        return "$"
    found = given.get(name, "")
    if not found and how == ":?":
        raise NotGiven(f"{name}: {rest}")
    return found or (rest if how == ":-" else "")


def variables_asked_for(value: Any) -> set[str]:
    """Every name that the file wants from .env."""
    return {match[2] for text in _texts(value) for match in VARIABLE.finditer(text) if match[2]}


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


def variables_of_settings() -> set[str]:
    """Every name that settings ask the environment for, each also as NAME_FILE."""
    tree = ast.parse((ROOT / "society/config/settings.py").read_text(encoding="utf-8"))
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    names = {
        call.args[0].value
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id == "environment"
        and call.func.attr in READERS
        and isinstance(call.args[0], ast.Constant)
    }
    return names | {f"{name}_FILE" for name in names}


def copied_into_the_image(app: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What COPY brings into the image: pairs of source and target."""
    lines = app["build"]["dockerfile_inline"].splitlines()
    return [(source, target) for _, source, target in map(str.split, lines_of("COPY", lines))]


def lines_of(instruction: str, lines: list[str]) -> list[str]:
    return [line for line in lines if line.startswith(f"{instruction} ")]
