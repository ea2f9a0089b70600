"""A letter as people read it: subject, text and HTML, from templates, in the reader's language."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import css_inline
from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation

from schedules.letter_wording import bound, one_line
from society.models import Member, Society

TEMPLATES = "schedules/letters"
LONGEST_TITLE = 200
WRITTEN_IN = ("en-gb",)
"""Languages that letters are written in; who reads another one gets the first."""


@dataclass(frozen=True, slots=True)
class Letter:
    """A written letter, and what a later one must know of it."""

    title: str
    text: str
    html: str
    told: Mapping[str, Any] = field(default_factory=dict)


def letter_of(
    template: str,
    context: Mapping[str, Any],
    *,
    title: str,
    greeting: str,
    society: Society | None,
    language: str,
    told: Mapping[str, Any] | None = None,
) -> Letter:
    """Render both parts of a letter; what people typed is put on one line first, by whoever passes it."""
    subject = one_line(title)
    whole = {
        "title": subject,
        "greeting": one_line(greeting),
        "society": one_line(society.name) if society else "Commonrow",
        "language": language,
        "week_url": settings.PUBLIC_URL + reverse("this-week"),
        "wanted_url": settings.PUBLIC_URL + reverse("letters-wanted"),
        **context,
    }
    with translation.override(language):
        text = render_to_string(f"{TEMPLATES}/{template}.txt", whole)
        html = render_to_string(f"{TEMPLATES}/{template}.html", whole)
    return Letter(subject[:LONGEST_TITLE], text, as_html(html), told or {})


def language_of(reader: Member | None) -> str:
    """The reader's own language where letters are written in it."""
    return reader.language if reader and reader.language in WRITTEN_IN else WRITTEN_IN[0]


def as_html(page: str) -> str:
    """With the styles where mail readers keep them, and no number parted from its unit or month."""
    return bound(_inliner().inline(page))


@cache
def _inliner() -> css_inline.CSSInliner:
    # Mail readers drop style sheets; the rules for a dark screen cannot be inlined and stay as they are.
    return css_inline.CSSInliner(keep_at_rules=True, load_remote_stylesheets=False)
