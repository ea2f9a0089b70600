"""A real SMTP server on loopback that keeps what it is given and answers as a test tells it to."""

import asyncio
import socket
from email import message_from_bytes, policy
from email.message import EmailMessage
from types import TracebackType
from typing import Any, Self

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

ACCEPT = "250 OK"
HANG_UP = "hang up after the letter, without an answer"
SILENCE = "take the letter and never answer"
SILENT_S = 30
DAWDLES_S = 1


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class MailServer:
    """Letters that arrived, in order; `answers` are used up one a letter, then everything is accepted."""

    def __init__(self) -> None:
        self.port = free_port()
        self.arrived: list[EmailMessage] = []
        self.recipients: list[str] = []
        self.answers: list[str] = []
        self.recipient_answers: list[str] = []
        self.sender_answers: list[str] = []
        self.dawdles_at: int | None = None  # from so many letters on, every recipient takes a while
        self.greeted = 0
        self.silent_at: set[str] = set()  # 'greeting' or 'sender': no answer there for half a minute
        self._controller = Controller(self, hostname="127.0.0.1", port=self.port)

    @property
    def message_ids(self) -> list[str]:
        return [str(letter["Message-ID"]) for letter in self.arrived]

    def forget(self) -> None:
        """What arrived so far."""
        self.arrived.clear()
        self.recipients.clear()

    async def handle_EHLO(
        self, server: SMTP, session: Session, envelope: Envelope, hostname: str, responses: list[str]
    ) -> list[str]:
        self.greeted += 1
        if "greeting" in self.silent_at:
            await asyncio.sleep(SILENT_S)
        session.host_name = hostname
        return responses

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if "sender" in self.silent_at:
            await asyncio.sleep(SILENT_S)
        answer = self.sender_answers.pop(0) if self.sender_answers else ACCEPT
        if answer == ACCEPT:
            envelope.mail_from = address
            envelope.mail_options.extend(options)
        return answer

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[Any]
    ) -> str:
        for _ in range(DAWDLES_S * 20):
            if self.dawdles_at is None or len(self.arrived) < self.dawdles_at:
                break
            await asyncio.sleep(0.05)
        answer = self.recipient_answers.pop(0) if self.recipient_answers else ACCEPT
        if answer == ACCEPT:
            envelope.rcpt_tos.append(address)
        return answer

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        answer = self.answers.pop(0) if self.answers else ACCEPT
        if answer[0] not in "45":
            self._keep(envelope)
        if answer == HANG_UP:
            server.transport.abort()
        if answer == SILENCE:
            await asyncio.sleep(SILENT_S)
        return answer if answer[:3].isdigit() else ACCEPT

    def _keep(self, envelope: Envelope) -> None:
        content = envelope.original_content or b""
        self.arrived.append(message_from_bytes(content, policy=policy.default))  # type: ignore[arg-type]
        self.recipients += envelope.rcpt_tos

    def __enter__(self) -> Self:
        self._controller.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._controller.stop()
