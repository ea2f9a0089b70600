"""The day note: what cannot wait until the weekly letter."""

from schedules.day_notes.pressing import FROST_TOPICS, Pressing, Topic, pressing_on
from schedules.day_notes.said import Said, said_before
from schedules.day_notes.writing import day_note_of, told_of

__all__ = [
    "FROST_TOPICS",
    "Pressing",
    "Said",
    "Topic",
    "day_note_of",
    "pressing_on",
    "said_before",
    "told_of",
]
