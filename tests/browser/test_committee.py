"""The committee overrules a warning, and every page of its book is readable on any window."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import Page

from plots.ground_services import ground_check
from plots.models import GroundVerdict
from society import clock
from tests import factories
from tests.browser.test_pages import CONTRASTS, DESK, PHONE, ZOOMED, follow, log_in
from tests.factories import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
REASON = "The bed was filled with new soil in March."
OPEN_FOLDS = "document.querySelectorAll('details').forEach(fold => { fold.open = true; })"


@pytest.fixture
def cast(settings: Any) -> Cast:
    """Carrots planned where carrots stood last year, and one of everything else."""
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE, normals=False)
    before = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}
    factories.make_sowing(cast.bed, season=2026, **before)
    factories.make_sowing(cast.bed, season=2027, sow_on=TODAY)
    ground_check(site=cast.site, now=clock.now())
    vacant = factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(24, 0))
    entry = factories.make_waiting_entry(cast.site, cast.ben, asked_on=SINCE)
    factories.make_offer(entry, vacant, made_on=TODAY, lapses_on=TODAY)
    factories.make_notice(cast.site, "The water is on from Saturday.", since=TODAY, until=TODAY)
    factories.make_delivery(cast.ana, local_date=TODAY, state="held", title="Two jobs on plot 7")
    return cast


def overruling_walk(page: Page) -> None:
    log_in(page, "dee")
    follow(page, page.get_by_role("link", name="Committee"))
    follow(page, page.get_by_role("link", name="one sowing on ground that has not rested"))
    assert page.get_by_role("img", name="Plan of Alder Lane: ground that has not rested").is_visible()
    page.get_by_text("Why number 1").click()
    assert page.get_by_text("carried the carrot family").is_visible()
    follow(page, page.get_by_role("link", name="Overrule number 1"))
    page.get_by_label("Why the committee allows it").fill("no need")
    follow(page, page.get_by_role("button", name="Overrule the warning"))
    assert page.get_by_text("Give the reason in 10 letters or more").is_visible()
    page.get_by_label("Why the committee allows it").fill(REASON)
    follow(page, page.get_by_role("button", name="Overrule the warning"))
    assert page.get_by_role("heading", level=1).inner_text() == (
        "Every warning at Alder Lane has been overruled"
    )
    assert page.get_by_text(f"by Dee Sexton: {REASON}").is_visible()


@pytest.mark.parametrize("script", [True, False], ids=["with scripts", "without scripts"])
def test_a_warning_is_overruled_with_a_reason(cast: Cast, walk: Any, script: bool) -> None:
    walk(overruling_walk, viewport=PHONE, java_script_enabled=script)

    assert GroundVerdict.objects.get(sowing__season=2027).overruled_because == REASON


def test_an_overruling_is_taken_back(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> str:
        overruling_walk(page)
        follow(page, page.get_by_role("button", name="Take it back"))
        return page.get_by_role("status").inner_text()

    assert walk(steps, viewport=DESK) == "Taken back: the warning counts again."


def ways_of(cast: Cast) -> list[str]:
    """Every page of the book that can be looked at."""
    plot, member = cast.plot.pk, cast.ana.pk
    pages = {
        **dict.fromkeys(
            (
                "",
                "-growers",
                "-plots",
                "-waiting",
                "-ground",
                "-sightings",
                "-customs",
                "-sowings",
                "-notices",
                "-journal",
            )
        ),
        **dict.fromkeys(
            (
                "-grower-add",
                "-plot-add",
                "-waiting-add",
                "-notice-add",
                "-site",
                "-site-add",
                "-weather-file",
                "-record-file",
            )
        ),
        **dict.fromkeys(("-grower", "-grower-change", "-grower-invite", "-grower-gone", "-seat-add"), member),
        **dict.fromkeys(("-plot", "-plot-change", "-plot-give-up", "-tenancy-add", "-helper-add"), plot),
        **dict.fromkeys(("-bed-add", "-bed-row", "-beds-again", "-plot-halve", "-plot-merge"), plot),
        "-plot-move": plot,
        "-plot-survey": None,
        **dict.fromkeys(("-bed", "-bed-move", "-bed-reshape", "-bed-split", "-bed-join"), cast.bed.pk),
        **dict.fromkeys(("-bed-change", "-bed-close"), cast.bed.pk),
        "-tenancy-end": cast.plot.tenancies.get().pk,
        "-rent": cast.plot.tenancies.get().pk,
        "-helper-end": cast.plot.co_workers.get().pk,
        "-sighting-withdraw": factories.make_sighting(cast.bed, "clubroot", on=TODAY).pk,
        "-overrule": GroundVerdict.objects.get(sowing__season=2027).pk,
    }
    return [reverse(f"committee{name}", args=[pk] if pk else []) for name, pk in pages.items()]


def look_at(ways: list[str], look: Callable[[Page], Any]) -> Callable[[Page], dict[str, Any]]:
    def steps(page: Page) -> dict[str, Any]:
        log_in(page, "dee")
        found = {}
        for way in [*ways, "/letters/?state=trouble"]:
            page.goto(way)
            page.evaluate(OPEN_FOLDS)
            found[way] = look(page)
        return found

    return steps


@pytest.mark.parametrize("viewport", [PHONE, ZOOMED, DESK], ids=["phone", "zoomed", "desk"])
def test_no_page_of_the_book_is_wider_than_its_window(cast: Cast, walk: Any, viewport: Any) -> None:
    def wider(page: Page) -> bool:
        return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))

    found = walk(look_at(ways_of(cast), wider), viewport=viewport)

    assert len(found) > 28
    assert [way for way, is_wider in found.items() if is_wider] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_word_of_the_book_stands_out(cast: Cast, walk: Any, scheme: str) -> None:
    found = walk(
        look_at(ways_of(cast), lambda page: page.evaluate(CONTRASTS)), viewport=DESK, color_scheme=scheme
    )

    assert {way: faint for way, faint in found.items() if faint} == {}


def test_every_field_of_the_book_has_a_name_and_room_for_a_thumb(cast: Cast, walk: Any) -> None:
    def faults(page: Page) -> list[str]:
        return page.evaluate("""
            [...document.querySelectorAll('input:not([type=hidden]), select, textarea')]
              .filter(e => !e.labels.length).map(e => 'nameless ' + e.name)
            .concat([...document.querySelectorAll('main button, summary, main input:not([type=hidden]), '
              + 'main select, main nav a, .ways a, .ways-down a, .acts a')]
              .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 43.5
                && !(e.type === 'checkbox' && e.labels[0]?.getBoundingClientRect().height >= 43.5))
              .map(e => 'small ' + (e.name || e.innerText)))
            .concat(document.querySelectorAll('h1').length === 1 ? [] : ['no single first heading'])
        """)

    found = walk(look_at(ways_of(cast), faults), viewport=PHONE, has_touch=True)

    assert {way: names for way, names in found.items() if names} == {}
