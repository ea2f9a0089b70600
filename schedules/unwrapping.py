"""A letter's text for a page: the line ends that wrapping put in are taken out again."""

from schedules.letter_wording import TEXT_WIDTH


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
