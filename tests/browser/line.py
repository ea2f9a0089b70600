"""A line to the server that can be cut and mended, as a gate's network is."""

import contextlib
import socket
import threading
from urllib.parse import urlsplit


class Line:
    """Passes bytes on to a server; while it is cut, its address refuses every call."""

    def __init__(self, server_url: str) -> None:
        parts = urlsplit(server_url)
        assert parts.hostname
        assert parts.port
        self.server = (parts.hostname, parts.port)
        self.port = 0
        self.open: list[socket.socket] = []
        self.mend()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def mend(self) -> None:
        self.listener = socket.create_server(("127.0.0.1", self.port))
        self.port = self.listener.getsockname()[1]
        threading.Thread(target=self._answer, args=[self.listener], daemon=True).start()

    def cut(self) -> None:
        for each in [self.listener, *self.open]:
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()
        self.open = []

    def _answer(self, listener: socket.socket) -> None:
        while True:
            try:
                near, _ = listener.accept()
                far = socket.create_connection(self.server)
            except OSError:
                return
            self.open += [near, far]
            for source, sink in ((near, far), (far, near)):
                threading.Thread(target=_pass_on, args=[source, sink], daemon=True).start()


def _pass_on(source: socket.socket, sink: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while data := source.recv(65536):
            sink.sendall(data)
    for each in (source, sink):
        with contextlib.suppress(OSError):
            each.shutdown(socket.SHUT_RDWR)
