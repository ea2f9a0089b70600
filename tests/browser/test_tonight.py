"""The night ahead, as a browser sees it. A forecast speaks of real days, so these rows lie around today."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page

from schedules.models import ForecastHour, ForecastState, Outlook
from society import clock
from tests import factories
from tests.browser.test_pages import CONTRASTS, DESK, PHONE, SINCE, ZOOMED, log_in
from tests.factories import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
HOUR = timedelta(hours=1)


@pytest.fixture
def cast(settings: Any) -> Cast:
    """A frost to come, a bed of beans that it would kill, and carrots that wait to be thinned."""
    settings.FORECAST_CONTACT = "growers@alderlane.example"
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    now = clock.now()
    today = now.date()
    for crop in ("french-bean", "carrot-early"):
        row = factories.make_sowing(
            cast.bed, crop, season=today.year, state="sown", sown_on=today - timedelta(days=30)
        )
        shown = dict.fromkeys(("shows_from", "shows_best", "shows_by"), today - timedelta(days=20))
        Outlook.objects.create(sowing=row, worked_out_at=now, **shown)
    factories.make_job(row, "thin", start_on=today)
    begins = now.replace(minute=0, second=0, microsecond=0) - 24 * HOUR
    ForecastHour.objects.bulk_create(
        ForecastHour(site=cast.site, at=begins + number * HOUR, air_c=-1.4, wind_ms=1.0, rain_mm=0.1)
        for number in range(84)
    )
    ForecastState.objects.create(site=cast.site, state="good", fetched_at=now, expires_at=now + HOUR)
    return cast


def looked_at(page: Page, look: str) -> list[Any]:
    """What a look finds on the week page and on the beans' own page, with everything unfolded."""
    log_in(page, "ana")
    assert page.get_by_text("Cover before dark what the night may harm:").is_visible()
    beans = page.locator("main a[href^='/sowings/']").first.get_attribute("href")
    found = [_unfolded(page, look)]
    page.goto(str(beans))
    assert page.get_by_text("Cover it before dark: the night may harm it.").is_visible()
    return [*found, _unfolded(page, look)]


def _unfolded(page: Page, look: str) -> Any:
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
    return page.evaluate(look)


@pytest.mark.parametrize("viewport", [PHONE, ZOOMED, DESK], ids=["phone", "zoomed", "desk"])
def test_the_night_is_no_wider_than_its_window(cast: Cast, walk: Any, viewport: dict[str, int]) -> None:
    look = "document.documentElement.scrollWidth > innerWidth"
    assert walk(lambda page: looked_at(page, look), viewport=viewport) == [False, False]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_word_of_the_night_stands_out(cast: Cast, walk: Any, scheme: str) -> None:
    found = walk(lambda page: looked_at(page, f"({CONTRASTS})()"), viewport=PHONE, color_scheme=scheme)
    assert found == [[], []]


def test_its_folds_are_large_enough_for_a_thumb(cast: Cast, walk: Any) -> None:
    look = (
        "[...document.querySelectorAll('.book summary')]"
        ".filter(e => e.getBoundingClientRect().height < 43.5).length"
    )
    assert walk(lambda page: looked_at(page, look), viewport=PHONE, has_touch=True) == [0, 0]


def test_on_paper_the_night_gives_its_reasons(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> list[bool]:
        log_in(page, "ana")
        page.emulate_media(media="print")
        shown = page.locator(".night .why .source")
        return [shown.nth(number).is_visible() for number in range(shown.count())]

    found = walk(steps, viewport=DESK)
    assert len(found) >= 4
    assert all(found)
