"""What docker-compose.yml names exists: variables, modules, queues, volumes; and nothing is left open."""

import re
import tomllib
from copy import deepcopy
from importlib.util import find_spec
from typing import Any

import pytest
from celery.app.utils import find_app
from django.conf import settings
from django.core.management import get_commands

from tests.deployment.compose_file import (
    DOT_ENV,
    ROOT,
    NotGiven,
    compose_file,
    copied_into_the_image,
    filled_in,
    variables_asked_for,
    variables_of_settings,
)

# Read by the postgres image, by Celery's pool (billiard.common) and by Compose alone.
OF_THE_POSTGRES_IMAGE = {"POSTGRES_DB", "POSTGRES_USER", "POSTGRES_PASSWORD"}
OF_CELERY = {"REMAP_SIGTERM"}
OF_COMPOSE = {"COMMONROW_PORT", "COMPOSE_PROJECT_NAME"}
WORKERS = ["letters", "planning"]
APP = {"migrate", "web", *WORKERS, "beat"}
LONG_RUNNING = {"web", *WORKERS, "beat", "postgres", "redis"}


@pytest.fixture
def compose() -> dict[str, Any]:
    return compose_file()


def unknown_variables(compose: dict[str, Any]) -> set[str]:
    """Names that the file sets for a service, or wants from .env, and that nobody reads."""
    known = variables_of_settings() | OF_CELERY
    unknown = set()
    for name, service in compose["services"].items():
        allowed = OF_THE_POSTGRES_IMAGE if name == "postgres" else known
        unknown |= set(service.get("environment", {})) - allowed
    return unknown | (variables_asked_for(compose) - known - OF_COMPOSE - {"POSTGRES_PASSWORD"})


def beats(compose: dict[str, Any]) -> list[str]:
    return [
        name
        for name, service in compose["services"].items()
        if {"beat", "-B", "--beat"} & set(service.get("command", []))
    ]


def may_write_or_rise(compose: dict[str, Any]) -> set[str]:
    """Services that start as root, could become it, or may write outside their volumes."""
    return {
        name
        for name, service in compose["services"].items()
        if str(service.get("user", "root")).partition(":")[0] in {"root", "0"}
        or service.get("read_only") is not True
        or service.get("cap_drop") != ["ALL"]
        or "no-new-privileges:true" not in service.get("security_opt", [])
    }


def missing_volumes(compose: dict[str, Any]) -> set[str]:
    mounts = [mount for service in compose["services"].values() for mount in service.get("volumes", [])]
    return {mount.partition(":")[0] for mount in mounts} - set(compose["volumes"])


def test_every_variable_is_one_that_somebody_reads(compose: dict[str, Any]) -> None:
    assert unknown_variables(compose) == set()


@pytest.mark.parametrize("service", ["web", "postgres"])
def test_a_planted_wrong_variable_is_caught(compose: dict[str, Any], service: str) -> None:
    compose["services"][service]["environment"] = {"COMMONROW_SECRETKEY": "x"}
    assert unknown_variables(compose) == {"COMMONROW_SECRETKEY"}


def test_a_planted_wrong_name_in_a_value_is_caught(compose: dict[str, Any]) -> None:
    compose["services"]["web"]["environment"]["EMAIL_URL"] = "${MAIL_URL:-}"
    assert unknown_variables(compose) == {"MAIL_URL"}


def test_celery_reads_the_remapped_signal() -> None:
    from billiard import common

    assert 'environ.get("REMAP_SIGTERM")' in _source_of(common).replace("'", '"')


def test_settings_read_the_variables_that_the_deployment_stands_on() -> None:
    assert {"DATABASE_URL", "REDIS_URL", "EMAIL_URL", "COMMONROW_SECRET_KEY_FILE"} <= variables_of_settings()


@pytest.mark.parametrize("name", sorted(DOT_ENV))
def test_nothing_starts_without_what_has_no_safe_default(compose: dict[str, Any], name: str) -> None:
    given = {other: value for other, value in DOT_ENV.items() if other != name}
    with pytest.raises(NotGiven, match=rf"^{name}: put .* into \.env$"):
        filled_in(compose, given)


def test_the_file_holds_no_secret(compose: dict[str, Any]) -> None:
    for service in compose["services"].values():
        for name, value in service.get("environment", {}).items():
            if re.search("SECRET|PASSWORD|KEYS", name):
                assert str(value).startswith("${")


def test_all_of_the_house_runs_in_one_environment(compose: dict[str, Any]) -> None:
    environments = [compose["services"][name]["environment"] for name in ("migrate", "web", "beat")]
    workers = [dict(compose["services"][name]["environment"]) for name in WORKERS]
    assert [worker.pop("REMAP_SIGTERM") for worker in workers] == ["SIGQUIT"] * 2
    assert [*environments, *workers] == [environments[0]] * 5


def test_the_web_command_names_an_application(compose: dict[str, Any]) -> None:
    program, module, *options = compose["services"]["web"]["command"]
    assert program == "gunicorn"
    assert find_spec(module) is not None
    assert f"{module}.application" == settings.WSGI_APPLICATION
    assert options[options.index("--worker-class") + 1] == "gthread"


@pytest.mark.parametrize(("service", "what"), [*((name, "worker") for name in WORKERS), ("beat", "beat")])
def test_the_celery_commands_name_the_application(compose: dict[str, Any], service: str, what: str) -> None:
    program, option, module, *rest = compose["services"][service]["command"]
    assert (program, option, rest[0]) == ("celery", "-A", what)
    assert find_app(module).main == "commonrow"


def queue_served(compose: dict[str, Any], service: str) -> str:
    command = compose["services"][service]["command"]
    return str(command[command.index("-Q") + 1])


def test_every_queue_that_settings_name_has_a_worker_of_its_own(compose: dict[str, Any]) -> None:
    routed = {route["queue"] for route in settings.CELERY_TASK_ROUTES.values()}
    assert [queue_served(compose, name) for name in WORKERS] == WORKERS
    assert set(WORKERS) == routed | {settings.CELERY_TASK_DEFAULT_QUEUE}


@pytest.mark.parametrize("service", WORKERS)
def test_a_worker_shows_that_it_lives_and_has_a_name_of_its_own(
    compose: dict[str, Any], service: str
) -> None:
    command = compose["services"][service]["command"]
    assert find_spec(command[command.index("-I") + 1]) is not None
    assert command[command.index("-n") + 1] == f"{service}@%h"


def test_the_readme_starts_the_same_workers() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    started = re.findall(r"^uv run celery -A society\.config worker -Q (\S+) -n (\S+)$", readme, re.MULTILINE)
    assert started == [(name, f"{name}@%h") for name in WORKERS]


def test_the_migrate_command_exists_and_runs_once(compose: dict[str, Any]) -> None:
    migrate = compose["services"]["migrate"]
    assert (ROOT / migrate["command"][1]).is_file()
    assert migrate["command"][2] in get_commands()
    assert migrate["restart"] == "no"


@pytest.mark.parametrize("service", ["web", *WORKERS, "beat"])
def test_a_process_waits_for_tables_database_and_redis(compose: dict[str, Any], service: str) -> None:
    assert compose["services"][service]["depends_on"] == {
        "migrate": {"condition": "service_completed_successfully"},
        "postgres": {"condition": "service_healthy"},
        "redis": {"condition": "service_healthy"},
    }


def test_there_is_exactly_one_beat_and_it_cannot_be_scaled(compose: dict[str, Any]) -> None:
    assert beats(compose) == ["beat"]
    beat = compose["services"]["beat"]
    assert beat["container_name"]
    assert "deploy" not in beat
    assert "scale" not in beat


def test_a_planted_second_beat_is_caught(compose: dict[str, Any]) -> None:
    compose["services"]["letters"]["command"].append("-B")
    assert beats(compose) == ["letters", "beat"]


def test_nobody_is_root_or_may_write_where_nothing_is_kept(compose: dict[str, Any]) -> None:
    assert may_write_or_rise(compose) == set()


@pytest.mark.parametrize(("key", "value"), [("user", "0:0"), ("read_only", False), ("cap_drop", [])])
def test_a_planted_privilege_is_caught(compose: dict[str, Any], key: str, value: object) -> None:
    compose["services"]["redis"][key] = value
    assert may_write_or_rise(compose) == {"redis"}


def test_every_volume_is_named_and_declared(compose: dict[str, Any]) -> None:
    assert missing_volumes(compose) == set()
    assert set(compose["volumes"]) == {"data", "postgres", "redis"}


def test_a_planted_undeclared_volume_is_caught(compose: dict[str, Any]) -> None:
    compose["services"]["redis"]["volumes"] = ["rediss:/data"]
    assert missing_volumes(compose) == {"rediss"}


def test_every_image_is_pinned_by_a_version(compose: dict[str, Any]) -> None:
    inline = compose["services"]["web"]["build"]["dockerfile_inline"]
    images = {service["image"] for service in compose["services"].values()}
    images |= set(re.findall(r"^FROM (\S+)", inline, flags=re.MULTILINE))
    assert len(images) == 4
    for image in images:
        assert re.fullmatch(r"[a-z]+:\d+(\.\d+)*(-[a-z]+)*", image)


def test_every_process_that_stays_is_started_again_and_given_a_minute_to_stop(
    compose: dict[str, Any],
) -> None:
    for name in LONG_RUNNING:
        assert compose["services"][name]["restart"] == "unless-stopped"
        assert compose["services"][name]["stop_grace_period"] == "60s"


def test_whoever_is_waited_for_has_a_health_check(compose: dict[str, Any]) -> None:
    checked = {name for name, service in compose["services"].items() if "healthcheck" in service}
    assert checked == {"web", *WORKERS, "postgres", "redis"}


def test_only_the_proxy_on_this_machine_comes_in(compose: dict[str, Any]) -> None:
    services = compose["services"]
    published = [(name, service["ports"]) for name, service in services.items() if "ports" in service]
    assert filled_in(published, {}) == [("web", ["127.0.0.1:8000:8000"])]
    assert compose["networks"]["inside"]["internal"] is True
    assert services["postgres"]["networks"] == services["redis"]["networks"] == ["inside"]


def test_redis_keeps_what_it_was_told(compose: dict[str, Any]) -> None:
    command = compose["services"]["redis"]["command"]
    assert command[command.index("--appendonly") + 1] == "yes"
    assert command[command.index("--maxmemory-policy") + 1] == "noeviction"


def test_the_image_holds_every_room_and_nothing_private(compose: dict[str, Any]) -> None:
    rooms = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["root_packages"]
    copied = copied_into_the_image(compose["services"]["web"])
    assert {source for source, _ in copied} == {"manage.py", "pyproject.toml", *rooms}
    assert all((ROOT / source).exists() for source, _ in copied)


def test_the_image_runs_as_the_user_that_the_services_name(compose: dict[str, Any]) -> None:
    inline = compose["services"]["web"]["build"]["dockerfile_inline"]
    assert inline.rstrip().endswith(f"USER {compose['services']['web']['user']}")
    assert {compose["services"][name]["user"] for name in APP} == {compose["services"]["web"]["user"]}


def test_values_are_filled_in_as_compose_does() -> None:
    value = {"a": ["${ONE:-1} ${TWO:-2}", "$$HOME ${THREE}"], "b": 3}
    assert filled_in(deepcopy(value), {"ONE": "one", "TWO": ""}) == {"a": ["one 2", "$HOME "], "b": 3}


def _source_of(module: Any) -> str:
    with open(module.__file__, encoding="utf-8") as file:
        return file.read()
