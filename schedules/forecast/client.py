"""Asking the service once. Every way in which the network may fail ends here in one exception.

The standard library is enough: one GET, no cookies, no log-in, no connection kept. What it lacks is a limit
on the whole exchange, name look-up included; so the asking runs in a thread of its own, which is hung up on
when the time is over.
"""

import socket
import ssl
import zlib
from contextlib import suppress
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException, HTTPResponse, HTTPSConnection, IncompleteRead
from threading import Thread
from time import monotonic
from urllib.parse import urljoin, urlsplit

from schedules.forecast.service import Place, Service, target

CONNECT_S = 5.0
READ_S = 5.0
WHOLE_S = 10.0
LARGEST_BYTES = 4_000_000
CHUNK_BYTES = 65_536
MOST_REDIRECTS = 2
REDIRECTS = {301, 302, 303, 307, 308}
WITH_BODY = {200, 203}


class NoAnswer(Exception):
    """The service could not be reached, or what came was cut, too long, or not to be followed."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What the service said; the body is unpacked, and empty unless the status is one of WITH_BODY."""

    status: int
    body: bytes = b""
    content_type: str = ""
    expires: str = ""
    last_modified: str = ""
    retry_after: str = ""


def ask(service: Service, place: Place, *, last_modified: str = "", whole_s: float = WHOLE_S) -> Answer:
    """Ask for a place's forecast; ``last_modified`` is the header of the answer that is held already.

    Raises NoAnswer within ``whole_s`` seconds when nothing comes that can be used.
    """
    call = _Call(service, last_modified, ends=monotonic() + whole_s)
    thread = Thread(target=call.run, args=(target(place),), name="forecast", daemon=True)
    thread.start()
    thread.join(whole_s)
    if call.answer is not None:
        return call.answer
    call.hang_up()
    raise NoAnswer(call.fault or f"no whole answer within {whole_s:g} seconds")


@dataclass
class _Call:
    """One exchange, redirects within the same host included."""

    service: Service
    last_modified: str
    ends: float
    answer: Answer | None = None
    fault: str = ""
    _connection: HTTPConnection | None = field(default=None, init=False)

    def run(self, path: str) -> None:
        try:
            self.answer = self._follow(f"{self.service.address}{path}")
        except NoAnswer as fault:
            self.fault = str(fault)
        except ssl.SSLCertVerificationError as fault:
            self.fault = f"its certificate is not to be trusted ({fault.verify_message})"
        except TimeoutError:
            self.fault = "it did not answer in time"
        except IncompleteRead:
            self.fault = "its answer was cut off"
        except (OSError, HTTPException, ValueError) as fault:
            self.fault = f"the connection failed ({_words(fault)})"
        finally:
            self._close()

    def hang_up(self) -> None:
        """Wake whoever reads from the line; only the thread that reads may close it."""
        with suppress(OSError, AttributeError):
            self._connection.sock.shutdown(socket.SHUT_RDWR)  # type: ignore[union-attr]  # suppressed

    def _close(self) -> None:
        if self._connection is not None:
            self._connection.close()

    def _follow(self, address: str) -> Answer:
        for _ in range(MOST_REDIRECTS + 1):
            response = self._get(address)
            if response.status not in REDIRECTS:
                return self._answer(response)
            onward = urljoin(address, response.getheader("Location") or "")
            if _origin(onward) != _origin(self.service.address):
                raise NoAnswer("it sent us on to another host, which is not followed")
            self._close()
            address = onward
        raise NoAnswer("it sent us on too often")

    def _get(self, address: str) -> HTTPResponse:
        parts = urlsplit(address)
        connection = self._connection = _connection(address)
        connection.connect()
        connection.sock.settimeout(READ_S)
        headers = {"User-Agent": self.service.user_agent, "Accept": "application/json"}
        headers |= {"Accept-Encoding": "gzip", "Connection": "close"}
        if self.last_modified:
            headers["If-Modified-Since"] = self.last_modified
        connection.request("GET", f"{parts.path or '/'}?{parts.query}", headers=headers)
        return connection.getresponse()

    def _answer(self, response: HTTPResponse) -> Answer:
        said = {name: response.getheader(name) or "" for name in ("Content-Type", "Expires", "Retry-After")}
        return Answer(
            status=response.status,
            body=self._body(response) if response.status in WITH_BODY else b"",
            content_type=said["Content-Type"].partition(";")[0].strip().lower(),
            expires=said["Expires"],
            last_modified=response.getheader("Last-Modified") or "",
            retry_after=said["Retry-After"],
        )

    def _body(self, response: HTTPResponse) -> bytes:
        encoding = (response.getheader("Content-Encoding") or "identity").strip().lower()
        if encoding not in {"identity", "gzip"}:
            raise NoAnswer(f"its answer is packed as {encoding}, which was not asked for")
        packed = self._read(response)
        return packed if encoding == "identity" else _unpacked(packed)

    def _read(self, response: HTTPResponse) -> bytes:
        announced = response.length
        if announced is not None and announced > LARGEST_BYTES:
            raise NoAnswer(f"its answer is longer than {LARGEST_BYTES // 1_000_000} MB")
        parts, size = [], 0
        while chunk := response.read1(CHUNK_BYTES):
            parts.append(chunk)
            size += len(chunk)
            if size > LARGEST_BYTES:
                raise NoAnswer(f"its answer is longer than {LARGEST_BYTES // 1_000_000} MB")
            if monotonic() > self.ends:
                raise NoAnswer("it did not end its answer in time")
        if announced is not None and size < announced:
            late = monotonic() >= self.ends  # then it was this side that hung up
            raise NoAnswer("it did not end its answer in time" if late else "its answer was cut off")
        return b"".join(parts)


def _connection(address: str) -> HTTPConnection:
    parts = urlsplit(address)
    host = parts.hostname or ""
    if parts.scheme == "https":
        context = ssl.create_default_context()
        line: HTTPConnection = HTTPSConnection(host, parts.port, timeout=CONNECT_S, context=context)
    else:
        line = HTTPConnection(host, parts.port, timeout=CONNECT_S)
    line.auto_open = 0  # a line that was hung up stays hung up
    return line


def _unpacked(packed: bytes) -> bytes:
    """Unpack gzip without ever holding more than the limit: a small answer may swell to anything."""
    unpacker = zlib.decompressobj(wbits=16 + zlib.MAX_WBITS)
    try:
        body = unpacker.decompress(packed, LARGEST_BYTES + 1)
    except zlib.error as fault:
        raise NoAnswer("its answer cannot be unpacked") from fault
    if len(body) > LARGEST_BYTES:
        raise NoAnswer(f"its answer is longer than {LARGEST_BYTES // 1_000_000} MB")
    if not unpacker.eof:
        raise NoAnswer("its answer was cut off")
    return body


def _origin(address: str) -> tuple[str, str | None, int | None]:
    parts = urlsplit(address)
    return parts.scheme, parts.hostname, parts.port


def _words(fault: Exception) -> str:
    return str(getattr(fault, "strerror", None) or fault or type(fault).__name__)[:120]
