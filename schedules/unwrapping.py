"""A letter's text for a page: without the line ends that wrapping put in, and without its private links."""

import re

from django.urls import reverse

from schedules.letter_wording import TEXT_WIDTH

# Whoever has such a link acts as the reader of the letter; the committee reads these pages as well.
PRIVATE = ("job-by-letter", "letter-stop")
NOT_SHOWN = "(a link for the reader alone)"


def without_private_links(text: str) -> str:
    """With words where the letter has links that act for its reader."""
    paths = "|".join(re.escape(reverse(name, args=["x"]).removesuffix("x/")) for name in PRIVATE)
    return re.sub(rf"\S*(?:{paths})\S+", NOT_SHOWN, text)


def unwrapped(text: str, *, width: int = TEXT_WIDTH) -> str:
    """Join lines that were broken only because the next word had no room; keep every other line end."""
    lines: list[str] = []
    room_left: int | None = None
    for line in text.splitlines():
        words = line.split()
        if words and room_left is not None and len(words[0]) + 1 > room_left:
            lines[-1] = f"{lines[-1]} {line.strip()}"
        else:
            lines.append(line)
        room_left = width - len(line) if words else None
    return "\n".join(lines)
