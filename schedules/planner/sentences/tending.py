"""Sentences about raising, seedlings, earthing up, running to seed, seed and store."""

from schedules.planner.sentences.wording import Sentence

SENTENCES: dict[str, Sentence] = {}
