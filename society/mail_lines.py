"""A line to a mail server that never outlives the time a letter has, and knows when a letter may be out."""

import re
import smtplib
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.smtp import EmailBackend
from django.core.mail.message import sanitize_address

LINE_BEGINS_WITH_DOT = re.compile(rb"(?m)^\.")


class TimedLine(smtplib.SMTP):
    """SMTP whose every word is bounded by the time-out and by an instant at which all must be over."""

    ends: float | None = None  # as time.monotonic() counts

    def send(self, s: Any) -> None:
        self._hurry()
        super().send(s)

    def getreply(self) -> tuple[int, bytes]:
        self._hurry()
        return super().getreply()

    def hand_over(self, *, sender: str, to: list[str], body: bytes, begun: Callable[[], None]) -> None:
        """One letter. `begun` is called before the first byte after which the server may have taken it."""
        self.ehlo_or_helo_if_needed()
        size = [f"size={len(body)}"] if self.has_extn("size") else []
        code, words = self.mail(sender, size)
        if code != 250:
            raise smtplib.SMTPSenderRefused(code, words, sender)
        answers = {address: self.rcpt(address) for address in to}
        refused = {address: answer for address, answer in answers.items() if answer[0] not in (250, 251)}
        if refused:  # a letter has one address; of several, all or none
            raise smtplib.SMTPRecipientsRefused(refused)
        self.putcmd("data")
        code, words = self.getreply()
        if code != 354:
            raise smtplib.SMTPDataError(code, words)
        begun()
        self.send_body(LINE_BEGINS_WITH_DOT.sub(b"..", body))
        code, words = self.getreply()
        if code != 250:
            raise smtplib.SMTPDataError(code, words)

    def send_body(self, quoted: bytes) -> None:
        self.send(quoted if quoted.endswith(b"\r\n") else quoted + b"\r\n")
        self.send(b".\r\n")

    def _hurry(self) -> None:
        if self.ends is None or self.sock is None:
            return
        left_s = self.ends - time.monotonic()
        if left_s <= 0:
            self.close()
            raise TimeoutError("the letter's time was over")
        self.sock.settimeout(min(self.timeout, left_s))


class TimedTlsLine(TimedLine, smtplib.SMTP_SSL):
    """The same over TLS from the start."""


class SmtpBackend(EmailBackend):
    """Django's way to a mail server, by a line that keeps to a letter's time."""

    connection: TimedLine | None
    _partial_connection: TimedLine | None

    @property
    def connection_class(self) -> type[TimedLine]:
        return TimedTlsLine if self.use_ssl else TimedLine

    def hand_over(
        self, message: EmailMessage, body: bytes, *, ends: float, begun: Callable[[], None]
    ) -> None:
        """Send one letter by the line that is open, and leave it ready for the next, or closed."""
        line = self.connection
        if line is None:
            raise smtplib.SMTPServerDisconnected("the line is not open")
        line.ends = ends
        encoding = message.encoding or settings.DEFAULT_CHARSET
        try:
            line.hand_over(
                sender=sanitize_address(message.from_email, encoding),
                to=[sanitize_address(address, encoding) for address in message.recipients()],
                body=body,
                begun=begun,
            )
        except smtplib.SMTPResponseException as fault:
            self._after_refusal(line, fault.smtp_code)
            raise
        except smtplib.SMTPRecipientsRefused as fault:
            self._after_refusal(line, min(code for code, _ in fault.recipients.values()))
            raise
        except BaseException:
            self.drop()
            raise

    def drop(self) -> None:
        """Hang up without a word."""
        for line in (self.connection, self._partial_connection):
            if line is not None:
                line.close()
        self.connection = self._partial_connection = None

    def _after_refusal(self, line: TimedLine, code: int) -> None:
        if code == 421:  # the server said that it hangs up
            self.drop()
            return
        with suppress(OSError, smtplib.SMTPException):
            if line.rset()[0] == 250:
                return
        self.drop()
