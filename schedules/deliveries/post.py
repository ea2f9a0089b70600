"""The line to the mail server, and what its answers mean."""

import re
import smtplib
import time
from types import TracebackType
from typing import Any, NamedTuple, NoReturn, Self

from django.core.mail import EmailMessage, get_connection

from schedules.deliveries.states import State, lease

# Of a letter's lease the last part stays free, so that its row is settled while the claim still holds.
SHARE_FOR_THE_LINE = 0.8
NO_ROOM_FOR_IT = 552  # said of one letter's size, also where the sender is named
ENHANCED = re.compile(r"5\.\d{1,3}\.\d{1,3}")
# RFC 3463, sections 3.2 and 3.3, and RFC 7505: of the address that a letter goes to. 5.1.7 and 5.1.8 are of
# the sender's, 5.1.0 may be of either, and providers have more of their own for senders that they block.
NO_SUCH_ADDRESS = frozenset({"5.1.1", "5.1.2", "5.1.3", "5.1.6", "5.1.10", "5.2.1"})
BAD_SENDER = frozenset({"5.1.7", "5.1.8"})
NOT_LOGGED_IN = frozenset({530, 534, 535, 538})  # RFC 4954, section 6
# RFC 5321, section 4.2.3; without a code of the longer kind nothing else speaks of the mailbox.
NO_SUCH_MAILBOX = frozenset({550, 551, 553})


class Unreachable(Exception):
    """No line to the mail server, or none for our sender: nothing has left the house."""


class Sealed(NamedTuple):
    """A letter that is ready to go, and the bytes that go."""

    message: EmailMessage
    body: bytes


class Post:
    """One line, opened when first needed and kept over a run."""

    def __init__(self) -> None:
        self._backend: Any = get_connection()
        self._ends = 0.0
        self.may_be_out = False
        self.in_trouble = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def begin(self) -> None:
        """The next letter's time begins; called when it has been claimed."""
        self._ends = time.monotonic() + SHARE_FOR_THE_LINE * lease().total_seconds()
        self.may_be_out = False

    def seconds_left(self) -> float:
        """What is left of the letter's time."""
        return self._ends - time.monotonic()

    def ready(self) -> None:
        """Open the line if it is not; Unreachable when it cannot be."""
        try:
            self._backend.open()
        except (OSError, smtplib.SMTPException) as fault:
            self.in_trouble = True
            raise Unreachable(f"the mail server cannot be reached: {described(fault)}") from fault

    def send(self, letter: Sealed) -> None:
        """Hand one letter over. A line that fell since the last letter is opened once more."""
        if not hasattr(self._backend, "hand_over"):  # letters in a folder, or another backend
            self.may_be_out = True
            self._backend.send_messages([letter.message])
            return
        was_open = bool(self._backend.connection)
        self.ready()
        try:
            self._hand_over(letter)
        except smtplib.SMTPServerDisconnected:
            if self.may_be_out or not was_open:
                raise
            self.ready()
            self._hand_over(letter)

    def close(self) -> None:
        try:
            self._backend.close()
        except (OSError, smtplib.SMTPException):
            self._backend.connection = None

    def _hand_over(self, letter: Sealed) -> None:
        try:
            self._backend.hand_over(letter.message, letter.body, ends=self._ends, begun=self._begun)
        except smtplib.SMTPSenderRefused as fault:
            if fault.smtp_code == NO_ROOM_FOR_IT:
                raise
            self._refuses_us(fault)
        except (smtplib.SMTPRecipientsRefused, smtplib.SMTPDataError) as fault:
            if not is_about_us(fault):
                raise
            self._refuses_us(fault)

    def _refuses_us(self, fault: Exception) -> NoReturn:
        self.in_trouble = True
        raise Unreachable(f"the mail server refuses our sender: {described(fault)}") from fault

    def _begun(self) -> None:
        self.may_be_out = True


def state_after(fault: Exception, *, may_be_out: bool) -> str:
    """Where a letter stands after a fault on the line: due again, refused, or in doubt."""
    if isinstance(fault, smtplib.SMTPNotSupportedError | ValueError):
        return State.REFUSED  # an address or header that cannot be written; nothing was accepted
    code = code_of(fault)
    if 500 <= code < 600:
        return State.REFUSED
    if 400 <= code < 500 or not may_be_out:
        return State.DUE
    return State.DOUBTFUL


def is_about_the_address(fault: Exception) -> bool:
    """Whether a refusal for good is of the reader's address: no such mailbox, or one shut down.

    What servers say of a sender, of a missing log-in or of a letter, they often say after the address.
    """
    if not 500 <= code_of(fault) < 600:
        return False
    enhanced = enhanced_code_of(fault)
    if enhanced:
        return enhanced in NO_SUCH_ADDRESS
    return isinstance(fault, smtplib.SMTPRecipientsRefused) and code_of(fault) in NO_SUCH_MAILBOX


def is_about_us(fault: Exception) -> bool:
    """Whether a refusal for good, wherever it is said, is of our sender or log-in, and so of every letter."""
    return code_of(fault) in NOT_LOGGED_IN or enhanced_code_of(fault) in BAD_SENDER


def enhanced_code_of(fault: Exception) -> str:
    """The longer code of a refusal for good, as '5.1.1'; empty without one."""
    second = described(fault).split()[1:2]
    return second[0] if second and ENHANCED.fullmatch(second[0]) else ""


def code_of(fault: Exception) -> int:
    """The server's answer in three digits, or 0 without one."""
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
