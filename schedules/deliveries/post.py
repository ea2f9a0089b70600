"""The line to the mail server, and what its answers mean."""

import smtplib
from types import TracebackType
from typing import Any, Self

from django.core.mail import EmailMessage, get_connection

from schedules.deliveries.states import State


class Unreachable(Exception):
    """No line to the mail server: nothing has left the house."""


class Post:
    """One line, opened when first needed and kept over a run."""

    def __init__(self) -> None:
        self._backend: Any = get_connection()
        self._fault: Unreachable | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def ready(self) -> None:
        """Open the line or see that it still stands; Unreachable is not tried again in the same run."""
        if self._fault is not None:
            raise self._fault
        try:
            self._drop_dead_line()
            self._backend.open()
        except (OSError, smtplib.SMTPException) as fault:
            self._fault = Unreachable(f"the mail server cannot be reached: {described(fault)}")
            raise self._fault from fault

    def send(self, message: EmailMessage) -> None:
        self._backend.send_messages([message])

    def close(self) -> None:
        try:
            self._backend.close()
        except (OSError, smtplib.SMTPException):
            self._backend.connection = None

    def _drop_dead_line(self) -> None:
        # A server may hang up between two letters. Asking first keeps that from looking like a lost letter.
        line = getattr(self._backend, "connection", None)
        if line is None:
            return
        try:
            code, _ = line.noop()
        except (OSError, smtplib.SMTPException):
            code = 0
        if code != 250:
            self.close()
            self._backend.connection = None


def state_after(fault: Exception) -> str:
    """Where a letter stands after a fault on the line: due again, refused, or in doubt."""
    if isinstance(fault, smtplib.SMTPNotSupportedError | ValueError):
        return State.REFUSED  # an address or header that cannot be written; nothing was accepted
    code = _code(fault)
    if 400 <= code < 500:
        return State.DUE
    if 500 <= code < 600:
        return State.REFUSED
    return State.DOUBTFUL


def _code(fault: Exception) -> int:
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        return min((code for code, _ in fault.recipients.values()), default=0)
    if isinstance(fault, smtplib.SMTPResponseException):
        return fault.smtp_code
    return 0


def described(fault: Exception) -> str:
    """A fault in one line, with the server's own words."""
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        answers = [f"{code} {_words(words)}" for code, words in fault.recipients.values()]
        return "; ".join(answers)
    if isinstance(fault, smtplib.SMTPResponseException):
        return f"{fault.smtp_code} {_words(fault.smtp_error)}"
    return f"{type(fault).__name__}: {fault}"[:500]


def _words(answer: bytes | str) -> str:
    text = answer.decode("utf-8", "replace") if isinstance(answer, bytes) else answer
    return " ".join(text.split())[:500]
