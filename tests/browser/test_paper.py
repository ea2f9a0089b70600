"""What comes out of the printer: pages, their foot, and nothing that only a screen needs."""

import io
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page
from pypdf import PdfReader

from plots.layout_services import Wanted, WishLine, layout_ask_save, layout_propose
from society import clock
from tests import factories
from tests.browser.test_pages import DESK, SINCE, TODAY, log_in
from tests.factories import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cast(settings: Any) -> Cast:
    """Two plots with one bed each, on a Monday in April."""
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    factories.make_sowing(
        cast.bed, season=2026, state="lifted", sown_on=date(2026, 4, 1), ended_on=date(2026, 8, 1)
    )
    return cast


def printed(page: Page, path: str) -> list[str]:
    """The text of each page of paper."""
    page.goto(path)
    paper = page.pdf(format="A4", prefer_css_page_size=True)
    return [each.extract_text() for each in PdfReader(io.BytesIO(paper)).pages]


def has_foot(text: str, number: int, count: int) -> bool:
    foot = [line.strip() for line in text.splitlines() if line.strip()]
    said = " ".join(foot)
    return all(
        words in said for words in ("Alder Lane Allotment Society", "12 April 2027", f"{number} / {count}")
    )


def test_a_small_site_at_rest_is_a_drawing_and_a_table_with_society_date_and_number(
    cast: Cast, walk: Callable[..., Any]
) -> None:
    def steps(page: Page) -> list[str]:
        log_in(page, "ana")
        return printed(page, "/ground/rest/alder-lane/")

    pages = walk(steps, viewport=DESK)

    assert len(pages) == 2
    assert has_foot(pages[0], 1, 2)
    assert has_foot(pages[1], 2, 2)
    assert "Roots may return to 1 of 2 beds in 2027" in pages[0].replace("\n", " ")
    assert "Bed by bed, 2027" in pages[1]
    for words in ("Show this ground", "Log out", "Season before"):
        assert words not in "".join(pages)


def test_each_sheet_of_a_big_site_begins_on_a_page_of_its_own(cast: Cast, walk: Callable[..., Any]) -> None:
    for number in range(9, 33):
        factories.make_plot(cast.site, f"{number}", laid_out_on=SINCE, corner=(0, 9.0 * number))

    def steps(page: Page) -> list[str]:
        log_in(page, "ana")
        return printed(page, "/ground/rest/alder-lane/?sheet=all")

    pages = walk(steps, viewport=DESK)

    assert all(has_foot(text, number, len(pages)) for number, text in enumerate(pages, start=1))
    begins = [at for at, text in enumerate(pages) if "Sheet 1 of 2" in text or "Sheet 2 of 2" in text]
    assert len(begins) == 2


def test_a_layout_is_printed_without_forms_and_with_its_foot(cast: Cast, walk: Callable[..., Any]) -> None:
    lines = tuple(WishLine(key, {2027: 2.0}) for key in ("pea", "leek"))
    now = clock.now()
    layout_ask_save(plot=cast.plot, wanted=Wanted(2027, 1, lines), version=None, account=None, now=now)
    proposal = layout_propose(plot=cast.plot, member=None, now=now)

    def steps(page: Page) -> list[str]:
        log_in(page, "ana")
        return printed(page, f"/plots/{cast.plot.pk}/seasons/{proposal.pk}/")

    pages = walk(steps, viewport=DESK)

    assert len(pages) == 1
    assert has_foot(pages[0], 1, 1)
    assert "Every wish finds rested ground" in pages[0]
    for words in ("Adopt this layout", "See what it costs", "Change one place"):
        assert words not in pages[0]
