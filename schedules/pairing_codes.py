"""The short code that a screen shows and a committee member types."""

import secrets
import unicodedata

# No two of these are taken for each other at three metres, and without vowels they spell nothing.
ALPHABET = "CDFGHJKMNPQRTVWXY34679"
LENGTH = 6


def new_code() -> str:
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def as_shown(code: str) -> str:
    """'KX7 4QM': in two halves, as it is read out."""
    return f"{code[: LENGTH // 2]} {code[LENGTH // 2 :]}"


def as_kept(typed: str) -> str:
    """What was typed, without the gaps, dashes and small letters that people put in."""
    plain = unicodedata.normalize("NFKC", typed).upper()
    return "".join(letter for letter in plain if letter.isalnum())


def is_code(kept: str) -> bool:
    return len(kept) == LENGTH and set(kept) <= set(ALPHABET)
