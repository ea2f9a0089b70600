"""The services of docker-compose.yml as ordinary processes on loopback: same commands, same environment.

Only addresses and folders differ: what the file calls 0.0.0.0, postgres, redis, /data, /tmp and
/var/lib/commonrow lies on 127.0.0.1 and in one temporary folder. The code is a copy of what the image holds.
"""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self
from urllib.error import HTTPError
from urllib.request import HTTPRedirectHandler, Request, build_opener

from tests.deployment.compose_file import DOT_ENV, ROOT, compose_file, copied_into_the_image, filled_in

AGED = ROOT / "tests/deployment/aged_web.py"
THROUGH_PROXY = {"Host": "plots.example", "X-Forwarded-Proto": "https"}


class _NoRedirects(HTTPRedirectHandler):
    def redirect_request(self, *_: Any) -> None:
        return None


class Composed:
    """Started and stopped service by service, as ``docker compose`` would."""

    def __init__(self, *, folder: Path, database_url: str, **variables: str) -> None:
        self.folder = folder
        self.compose = filled_in(compose_file(), DOT_ENV | variables)
        self.web_port, self.redis_port = _free_port(), _free_port()
        self.database_url = database_url
        self.running: dict[str, subprocess.Popen[bytes]] = {}
        for name in ("tmp", "data", "redis", "home"):
            (folder / name).mkdir()
        for source, target in copied_into_the_image(self.compose["services"]["web"]):
            self._copy(ROOT / source, folder / "image" / target)

    @staticmethod
    def _copy(source: Path, target: Path) -> None:
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            target.mkdir(parents=True, exist_ok=True)
            shutil.copy(source, target)

    def here(self, word: str, service: str) -> str:
        """A word of a service, with its places on this machine."""
        places = {
            "/var/lib/commonrow": str(self.folder / "data"),
            "/tmp/": f"{self.temporary(service)}/",
            "0.0.0.0:8000": f"127.0.0.1:{self.web_port}",
            "127.0.0.1:8000": f"127.0.0.1:{self.web_port}",
        }
        return re.sub("|".join(map(re.escape, places)), lambda match: places[match[0]], word)

    def temporary(self, service: str) -> Path:
        """Every container has one of its own."""
        return self.folder / "tmp" / service

    def command(self, service: str) -> list[str]:
        if service == "redis":
            places = {"6379": str(self.redis_port), "/data": str(self.folder / "redis")}
            command = [places.get(word, word) for word in self.compose["services"]["redis"]["command"]]
            return [*command, "--bind", "127.0.0.1"]
        return [self.here(word, service) for word in self.compose["services"][service]["command"]]

    def environment(self, service: str) -> dict[str, str]:
        wanted = {
            name: self.here(str(value), service)
            for name, value in self.compose["services"][service].get("environment", {}).items()
        }
        if wanted:
            wanted["DATABASE_URL"] = self.database_url
            wanted["REDIS_URL"] = wanted["REDIS_URL"].replace("redis:6379", f"127.0.0.1:{self.redis_port}")
        return wanted | {
            "PATH": os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]),
            "HOME": str(self.folder / "home"),
            "TMPDIR": str(self.temporary(service)),
            "PYTHONDONTWRITEBYTECODE": "1",
            "PYTHONUNBUFFERED": "1",
        }

    def run(self, service: str) -> int:
        """A one-shot service, to its end."""
        return self.start(service).wait(120)

    def start(self, service: str) -> "subprocess.Popen[bytes]":
        """A service in a session of its own, so that whatever it leaves behind can be ended with it."""
        environment = self.environment(service)
        self.temporary(service).mkdir(exist_ok=True)
        if service == "web":
            environment["GUNICORN_CMD_ARGS"] = f"--config {AGED}"
        with self.log(service).open("ab") as log:
            self.running[service] = subprocess.Popen(
                self.command(service),
                cwd=self.folder / "image",
                env=environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        return self.running[service]

    def stop(self, service: str, *, within_s: float) -> float:
        """Ask it to end as Compose does; the seconds that took."""
        process = self.running.pop(service)
        began = time.monotonic()
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(within_s)
        except subprocess.TimeoutExpired:
            _end(process)
            raise AssertionError(f"{service} did not stop in {within_s} s:\n{self.said(service)}") from None
        return time.monotonic() - began

    def healthy(self, service: str) -> bool:
        """The service's own health check."""
        kind, *words = self.compose["services"][service]["healthcheck"]["test"]
        command = ["sh", "-c", *words] if kind == "CMD-SHELL" else words
        places = [self.here(word, service).replace("6379", str(self.redis_port)) for word in command]
        answer = subprocess.run(
            places, env=self.environment(service), capture_output=True, timeout=30, check=False
        )
        return answer.returncode == 0

    def ask(self, path: str, **headers: str) -> tuple[int, str, dict[str, str]]:
        """Status, body and headers, as the proxy gets them; status 0 when nobody answers."""
        url = f"http://127.0.0.1:{self.web_port}{path}"
        request = Request(url, headers=headers or THROUGH_PROXY)
        try:
            with build_opener(_NoRedirects).open(request, timeout=10) as answer:
                return answer.status, answer.read().decode(), dict(answer.headers)
        except HTTPError as refusal:
            return refusal.code, refusal.read().decode(), dict(refusal.headers)
        except OSError as nobody:
            return 0, str(nobody), {}

    def log(self, service: str) -> Path:
        return self.folder / f"{service}.log"

    def said(self, service: str) -> str:
        return self.log(service).read_text(encoding="utf-8", errors="replace")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        for process in self.running.values():
            _end(process)


def _end(process: "subprocess.Popen[bytes]") -> None:
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(10)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
