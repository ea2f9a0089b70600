"""The committee's book: who grows where, what rests, what was said and what was changed."""
