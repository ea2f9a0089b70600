"""Numbers as a sentence says them."""

from django import template

register = template.Library()

WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@register.filter
def in_words(number: int) -> str:
    """'three' up to ten, figures beyond."""
    return WORDS[number] if 0 <= number < len(WORDS) else str(number)
