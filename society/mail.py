"""The embedded default's post: each letter becomes one file that any mail reader opens."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class FolderBackend(BaseEmailBackend):
    """Writes every message to MAIL_FOLDER as an .eml file named by its Message-ID."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.folder = Path(settings.MAIL_FOLDER)

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        self.folder.mkdir(parents=True, exist_ok=True)
        for letter in email_messages:
            message = letter.message()
            name = message["Message-ID"].strip("<>").replace("/", "_")
            target = self.folder / f"{name}.eml"
            draft = target.with_suffix(".part")
            draft.write_bytes(message.as_bytes())
            os.replace(draft, target)  # a reader never sees half a letter
        return len(email_messages)
