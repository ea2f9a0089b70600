"""Letters of every kind from the invented society, as text and pictures, for people to read and look at.

``python -m tests.letter_gallery FOLDER`` writes them; nothing in it passes or fails.
"""
