"""Numbers as a sentence says them."""

from django import template
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@register.filter
def in_words(number: int) -> str:
    """'three' up to ten, figures beyond."""
    return WORDS[number] if 0 <= number < len(WORDS) else str(number)


@register.filter
def css_string(words: object) -> SafeString:
    """Words as a quoted string of a style sheet; whatever could end the string or the element is escaped."""
    said = "".join(
        each if each.isalnum() or each in " .,-" else f"\\{ord(each):x} "
        for each in str(words)
        if each.isprintable()
    )
    return mark_safe(f'"{said}"')  # noqa: S308  # nothing but letters, digits and escapes is left
