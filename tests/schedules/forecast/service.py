"""A forecast service on loopback: real HTTP, real sockets, and whatever answer a test wants."""

import gzip
import socketserver
import ssl
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

CERTIFICATE = Path(__file__).with_name("loopback.pem")


@dataclass
class Reply:
    """One answer; `cut_at` hangs up after so many bytes, `slow_s` waits before the first one."""

    status: int = 200
    body: bytes = b""
    headers: Mapping[str, str] = field(default_factory=dict)
    packs: bool = True
    cut_at: int | None = None
    slow_s: float = 0.0
    drip_s: float = 0.0
    says_length: bool = True


@dataclass(frozen=True)
class Request:
    path: str
    headers: Mapping[str, str]


class LoopbackService(ThreadingHTTPServer):
    """Answers with what `reply` makes of a request, and remembers all it was asked."""

    daemon_threads = True

    def __init__(self, reply: Callable[[Request], Reply], *, tls: bool = False) -> None:
        self.reply = reply
        self.requests: list[Request] = []
        self.over = threading.Event()
        super().__init__(("127.0.0.1", 0), _Handler)
        if tls:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.load_cert_chain(CERTIFICATE)
            self.socket = context.wrap_socket(self.socket, server_side=True)
        self.address = f"http{'s' if tls else ''}://127.0.0.1:{self.server_port}"

    def __enter__(self) -> "LoopbackService":
        self.thread = threading.Thread(target=self.serve_forever, kwargs={"poll_interval": 0.02})
        self.thread.start()
        return self

    def __exit__(self, *args: object) -> None:
        self.over.set()
        self.shutdown()
        self.thread.join()
        self.server_close()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A client that hung up is what some tests are about."""


class _Handler(BaseHTTPRequestHandler):
    server: LoopbackService
    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        request = Request(self.path, dict(self.headers.items()))
        self.server.requests.append(request)
        reply = self.server.reply(request)
        if self.server.over.wait(reply.slow_s):
            return
        body, packs = reply.body, reply.packs and "gzip" in self.headers.get("Accept-Encoding", "")
        if body and packs:
            body = gzip.compress(body)
        self.send_response(reply.status)
        for name, value in {"Content-Type": "application/json", **reply.headers}.items():
            self.send_header(name, value)
        if body and packs:
            self.send_header("Content-Encoding", "gzip")
        if reply.says_length:
            self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self._write(body, reply)
        self.close_connection = True

    def _write(self, body: bytes, reply: Reply) -> None:
        if not reply.drip_s:
            self.wfile.write(body[: reply.cut_at])
            return
        for at in range(len(body)):
            if self.server.over.is_set():
                return
            self.wfile.write(body[at : at + 1])
            self.wfile.flush()
            time.sleep(reply.drip_s)

    def log_message(self, *args: object) -> None:
        pass


def unused_address() -> str:
    """An address on which nobody listens."""
    with socketserver.TCPServer(("127.0.0.1", 0), socketserver.BaseRequestHandler) as server:
        return f"http://127.0.0.1:{server.server_address[1]}"
