"""A Redis and a PostgreSQL of a test's own, on free ports and in a temporary folder, to be killed at will."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from pathlib import Path
from types import TracebackType
from typing import Self

import psycopg
import redis

from tests import services
from tests.mail_server import free_port

PATIENCE_S = 60.0


class OwnRedis:
    """It keeps nothing on disk: killed, it comes back empty, which no letter may mind."""

    def __init__(self, folder: Path) -> None:
        if shutil.which("redis-server") is None:
            services.not_to_be_had("no redis-server on this machine; install the package redis-server")
        folder.mkdir()
        self.folder, self.port = folder, free_port()
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        keeps_nothing = ("--save", "", "--appendonly", "no", "--dir", str(self.folder))
        self._process = subprocess.Popen(
            ["redis-server", "--bind", "127.0.0.1", "--port", str(self.port), *keeps_nothing],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        line = redis.Redis(port=self.port)
        ends = time.monotonic() + PATIENCE_S
        while True:
            try:
                line.ping()
                break
            except redis.ConnectionError:
                assert time.monotonic() < ends, "the test's own Redis does not answer"
                time.sleep(0.05)
        line.close()

    def kill(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait(10)
            self._process = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()


class OwnPostgresql:
    """A cluster with durable commits that may be stopped as hard as a power cut."""

    def __init__(self) -> None:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
        if not found:
            services.not_to_be_had("no initdb below /usr/lib/postgresql; install the package postgresql")
        # A folder of its own, since the server refuses to run as root and must get in as somebody else.
        self.folder = Path(tempfile.mkdtemp(prefix="commonrow-postgresql-"))
        self.bin, self.data, self.port = found[-1].parent, self.folder / "data", free_port()
        self.as_server = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        if self.as_server:
            shutil.chown(self.folder, "postgres")

    @property
    def url(self) -> str:
        return f"postgres://postgres@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        options = f"-h 127.0.0.1 -p {self.port} -c unix_socket_directories= -c fsync=on"
        log = self.folder / "log"
        self._run("pg_ctl", "-D", str(self.data), "-w", "-l", str(log), "-o", options, "start")

    def stop_at_once(self) -> None:
        self._run("pg_ctl", "-D", str(self.data), "-m", "immediate", "stop")

    def __enter__(self) -> Self:
        self._run("initdb", "-D", str(self.data), "-U", "postgres", "-A", "trust", "-E", "UTF8")
        self.start()
        psycopg.connect(self.url, connect_timeout=10).close()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop_at_once()
        shutil.rmtree(self.folder)

    def _run(self, command: str, *words: str) -> None:
        answer = subprocess.run(
            [*self.as_server, str(self.bin / command), *words],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            cwd="/",
            timeout=PATIENCE_S,
            text=True,
            check=False,
        )
        assert answer.returncode == 0, f"{command} ended with {answer.returncode}: {answer.stderr}"
