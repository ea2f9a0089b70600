"""A full deployment on loopback as subprocesses: workers, beat and commands, PostgreSQL and Redis."""

import json
import os
import secrets
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Any, Self

ROOT = Path(__file__).resolve().parents[2]
SHOWN_DAY = "2027-04-12"


class Deployment:
    """Commands run to their end; workers and beat until the deployment is left. Each logs to the folder."""

    def __init__(
        self,
        *,
        mail_port: int,
        folder: Path,
        database_url: str = "",
        redis_url: str = "",
        **variables: str,
    ) -> None:
        """Without DATABASE_URL and REDIS_URL the house runs embedded, on SQLite in the folder."""
        self.folder = folder
        self.environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("COMMONROW_")},
            "DJANGO_SETTINGS_MODULE": "society.config.settings",
            "DATABASE_URL": database_url,
            "REDIS_URL": redis_url,
            "EMAIL_URL": f"smtp://127.0.0.1:{mail_port}",
            "COMMONROW_SECRET_KEY": secrets.token_urlsafe(60),
            "COMMONROW_DATA": str(folder / "data"),
            "COMMONROW_TODAY": SHOWN_DAY,
            "COMMONROW_SWEEP_SECONDS": "1",
            "COMMONROW_REPLAN_SECONDS": "2",
            **variables,
        }
        self._running: list[subprocess.Popen[str]] = []

    def run(self, *arguments: str) -> str:
        """Run a command to its end; its output, or a failure that shows what it said."""
        answer = subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=180,
            check=False,
        )
        assert answer.returncode == 0, f"{arguments} ended with {answer.returncode}:\n{answer.stderr}"
        return answer.stdout

    def ask(self, *arguments: str) -> Any:
        return json.loads(self.run(*arguments))

    def start(self, name: str, *arguments: str) -> "subprocess.Popen[str]":
        """Start a process in a session of its own, so that all it starts can be ended with it."""
        with (self.folder / f"{name}.log").open("a") as log:
            process = subprocess.Popen(
                [sys.executable, *arguments],
                cwd=ROOT,
                env=self.environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE if name.startswith("runner") else log,
                stderr=log,
                text=True,
                start_new_session=True,
            )
        self._running.append(process)
        return process

    def worker(self, name: str, *more: str) -> "subprocess.Popen[str]":
        options = ("-Q", "letters,planning", "--concurrency", "2", "-n", f"{name}@%h", "-l", "WARNING")
        alone = ("--without-gossip", "--without-mingle")
        return self.start(name, "-m", "celery", "-A", "society.config", "worker", *options, *alone, *more)

    def beat(self, name: str = "beat") -> "subprocess.Popen[str]":
        options = ("-s", str(self.folder / name), "--pidfile", "", "-l", "WARNING")
        return self.start(name, "-m", "celery", "-A", "society.config", "beat", *options)

    def logs(self) -> str:
        return "\n".join(f"--- {log.name}\n{log.read_text()}" for log in sorted(self.folder.glob("*.log")))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        for process in self._running:
            kill(process)


def kill(process: "subprocess.Popen[str]") -> None:
    """End a process that this test started, with all that it started, as hard as a power cut."""
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(10)
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            pipe.close()


def until(reached: Callable[[], bool], *, seconds: float, nap: Callable[[float], None]) -> bool:
    """Whether something came true within a time."""
    for _ in range(int(seconds * 10)):
        if reached():
            return True
        nap(0.1)
    return reached()
