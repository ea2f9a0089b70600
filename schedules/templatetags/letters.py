"""What templates of letters need: lines of the plain text's width."""

from django import template
from django.template.defaultfilters import stringfilter

from schedules import letter_wording

register = template.Library()


@register.filter
@stringfilter
def wrapped(text: str) -> str:
    return letter_wording.wrapped(text)
