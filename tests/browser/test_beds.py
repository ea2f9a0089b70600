"""A row of beds typed in one line, seen, kept, dug over at an angle; the ground remembers what it carried."""

from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page

from plots.models import Bed, Sowing
from tests import factories
from tests.browser.test_pages import PHONE, SINCE, TODAY, follow, log_in
from tests.clipping import shared_area
from tests.factories import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cast(settings: Any) -> Cast:
    """A bed of 1.2 x 5 m that carried parsnips the year before."""
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    past = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 10, 1)}
    factories.make_sowing(cast.bed, "parsnip", season=2026, **past)
    return cast


def press(page: Page, name: str) -> None:
    follow(page, page.get_by_role("button", name=name, exact=True))


def open_plot(page: Page) -> None:
    page.goto("/committee/plots/")
    follow(page, page.get_by_role("link", name="Plot 7", exact=True))


def lay_row(page: Page) -> str:
    """Misread first, then seen, then kept."""
    follow(page, page.get_by_role("link", name="Lay out a row of beds"))
    page.get_by_label("Beds and paths").fill("three beds of 1 x 2 m")
    page.get_by_label("From the plot’s first corner along its first side, m").fill("10")
    page.get_by_label("From that side into the plot, m").fill("1")
    press(page, "Look at it")
    assert page.get_by_text("It does not say how wide the paths between the beds are").is_visible()
    page.get_by_label("Beds and paths").fill("three beds of 1 × 2 m, paths 50 cm")
    press(page, "Look at it")
    assert page.get_by_role("img", name="Plan of plot 7 as it would be").is_visible()
    assert page.locator("svg.plan .plan-marked").count() == 3
    press(page, "Lay them out")
    return page.get_by_role("status").inner_text()


def dig_over(page: Page) -> str:
    follow(page, page.get_by_role("link", name="Dig beds over and lay others out"))
    page.get_by_label("bed 1", exact=True).check()
    page.get_by_label("Beds and paths").fill("2 beds of 1 x 4 m, paths 30 cm")
    page.get_by_label("The beds", exact=True).select_option("lie along it")
    page.get_by_label("From the plot’s first corner along its first side, m").fill("1.2")
    page.get_by_label("From that side into the plot, m").fill("0.4")
    page.get_by_label("Turned anticlockwise against that side, degrees").fill("9")
    page.get_by_label("Their names").fill("slant, steep")
    press(page, "Look at it")
    press(page, "Close the old, lay the new")
    return page.get_by_role("status").inner_text()


def walk_of_beds(page: Page) -> tuple[str, str, str]:
    log_in(page, "dee")
    open_plot(page)
    laid, dug = lay_row(page), dig_over(page)
    follow(page, page.get_by_role("link", name="Its ground, season by season"))
    page.get_by_role("link", name="Plan a sowing").first.click()
    page.get_by_label("Slant").check()
    page.get_by_label("Crop").select_option("Carrot, early")
    page.get_by_label("On a day that I choose").check()
    page.get_by_label("on", exact=True).fill("2027-04-15")
    page.get_by_role("button", name="Look first").click()
    warning = page.get_by_role("heading", level=1).inner_text()
    page.get_by_role("button", name="Plan it all the same").click()
    assert page.get_by_role("status").inner_text().startswith("Planned: Carrot, early")
    return laid, dug, warning


@pytest.mark.parametrize("script", [True, False], ids=["with scripts", "without scripts"])
def test_a_row_of_beds_is_typed_in_and_dug_over_and_the_ground_still_warns(
    cast: Cast, walk: Any, script: bool
) -> None:
    laid, dug, warning = walk(walk_of_beds, viewport=PHONE, java_script_enabled=script)

    assert laid == "Laid out: bed 2, bed 3, bed 4."
    assert dug == "Closed: bed 1. Laid out: slant, steep."
    assert warning == "This ground has not rested long enough from the carrot family"
    sowing = Sowing.objects.select_related("verdict", "patch").get(crop="carrot-early")
    expected = shared_area(sowing.patch.outline, Bed.objects.get(pk=cast.bed.pk).outline)
    assert sowing.verdict.area_m2 == pytest.approx(expected, abs=1e-6)
    assert 1 < expected < 4
