"""Sentences about insects on the wing and about frost."""

from schedules.planner.sentences.wording import Sentence

SENTENCES: dict[str, Sentence] = {}
