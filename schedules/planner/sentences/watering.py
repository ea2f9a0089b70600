"""Sentences about water."""

from schedules.planner.sentences.wording import Sentence

SENTENCES: dict[str, Sentence] = {}
