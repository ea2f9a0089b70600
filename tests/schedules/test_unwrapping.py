"""A letter's line ends on a page."""

from hypothesis import given
from hypothesis import strategies as st

from schedules.letter_wording import TEXT_WIDTH, set_in
from schedules.unwrapping import unwrapped

WORDS = st.lists(st.text("abcdefgh", min_size=1, max_size=12), min_size=1, max_size=60)


@given(words=WORDS)
def test_what_was_wrapped_comes_back_as_one_line(words):
    line = " ".join(words)

    assert unwrapped(set_in(line)) == "   " + line


def test_short_lines_stay_lines():
    text = "Dear Ana,\n\n1. Thin carrots\n   Plot 7, bed 1\n   By Friday"

    assert unwrapped(text) == text


def test_a_new_paragraph_is_not_drawn_in():
    text = "x" * TEXT_WIDTH + "\n\nnext"

    assert unwrapped(text) == text
