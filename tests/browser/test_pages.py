"""The walk of a grower and of the committee through every page, as a browser sees it."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Locator, Page

from plots.ground_services import ground_check
from schedules.models import Job
from schedules.plan_services import site_replan
from society import clock
from tests import factories
from tests.factories import PASSWORD, Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
PHONE, DESK, ZOOMED = (
    {"width": 390, "height": 844},
    {"width": 1280, "height": 800},
    {"width": 320, "height": 640},
)
# Everything that a page shows as text, against the first opaque ground behind it.
CONTRASTS = """
() => {
  const rgb = text => (text.match(/[\\d.]+/g) || []).map(Number);
  const light = ([r, g, b]) => {
    const part = c => { c /= 255; return c <= .04045 ? c / 12.92 : ((c + .055) / 1.055) ** 2.4; };
    return .2126 * part(r) + .7152 * part(g) + .0722 * part(b);
  };
  const ground = element => {
    for (let at = element; at; at = at.parentElement) {
      const found = rgb(getComputedStyle(at).backgroundColor);
      if (found.length === 3 || found[3] === 1) return found;
    }
    return [255, 255, 255];
  };
  const faint = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !element.checkVisibility()) continue;
    const style = getComputedStyle(element);
    const ink = rgb(element.closest('svg') ? style.fill : style.color);
    const [dark, bright] = [light(ink), light(ground(element))].sort((a, b) => a - b);
    const contrast = (bright + .05) / (dark + .05);
    if (contrast < 4.5) faint.push([walker.currentNode.data.trim(), contrast]);
  }
  return faint;
}
"""


@pytest.fixture
def cast(settings: Any) -> Cast:
    """A planned site on a Monday in April, with something due, something resting and a letter."""
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    factories.make_sowing(cast.bed, "carrot-early", season=2027, state="sown", sown_on=date(2027, 3, 10))
    before = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}
    second = factories.make_bed(cast.plot, "bed 2", since=SINCE, corner=(1.0, 3.0))
    factories.make_sowing(second, "turnip", season=2026, **before)
    factories.make_sowing(second, "radish", season=2027, sow_on=date(2027, 4, 14))
    factories.make_ground_event(second, "lime", on=date(2027, 3, 1))
    factories.make_sighting(second, "cavity-spot", on=date(2026, 8, 1), tell_neighbours=True)
    factories.make_other_use(second, "mustard", "Brassicaceae", season=2025)
    now = clock.now()
    site_replan(site=cast.site, now=now)
    ground_check(site=cast.site, now=now)
    factories.make_delivery(
        cast.ana, local_date=date(2027, 4, 9), state="sent", title="Two jobs on plot 7", text="Dear Ana,"
    )
    eve = factories.make_member(cast.society, "Eve Thistle", joined_on=SINCE, email="")
    factories.make_tenancy(factories.make_plot(cast.site, "12", laid_out_on=SINCE), eve, since=SINCE)
    return cast


def follow(page: Page, way: Locator) -> None:
    """Press what leads to another page, and wait until that page and its style sheet are there."""
    with page.expect_navigation():
        way.click()


def log_in(page: Page, name: str) -> None:
    page.goto("/log-in/")
    page.get_by_label("E-mail address").fill(f"{name}@alderlane.example")
    page.get_by_label("Password").fill(PASSWORD)
    follow(page, page.get_by_role("button", name="Log in"))


def every_page(page: Page, look: Callable[[Page], Any]) -> dict[str, Any]:
    """What ``look`` finds on each page, with everything unfolded."""
    found = {}
    for name in ("ana", "dee"):
        log_in(page, name)
        ways = ["/", "/letters/", "/weather/", "/ground/", "/ground/rest/alder-lane/"]
        ways += [link.get_attribute("href") for link in page.locator("main a[href^='/plots/']").all()[:2]]
        plot = next(way for way in ways if way.startswith("/plots/"))
        ways += [f"{plot}notes/{which}" for which in ("", "done/", "seen/", "grown/")]
        page.goto("/letters/")
        ways += [link.get_attribute("href") for link in page.locator("main a[href^='/letters/']").all()[:2]]
        for way in dict.fromkeys(ways):
            page.goto(way)
            page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
            found[f"{name} {way}"] = look(page)
        follow(page, page.get_by_role("button", name="Log out"))
        found["/log-in/"] = look(page)
    return found


def grower_walk(page: Page) -> str:
    log_in(page, "ana")
    entry = page.locator(".ledger > li").first
    title = entry.locator(".job").inner_text()
    entry.get_by_text("Why").click()
    assert entry.get_by_text("Source:").is_visible()
    follow(page, entry.get_by_role("button", name="Done"))
    assert page.get_by_role("status").inner_text() == f"Recorded: {title}, done today."
    follow(page, page.locator("main").get_by_role("link", name="plot 7").first)
    assert page.get_by_role("group", name="Plan of plot 7, 2027").is_visible()
    crops = page.get_by_role("row").filter(has=page.get_by_role("link", name="Carrot"))
    assert crops.count() == 1  # another row may say from which families the bed still rests
    follow(page, page.get_by_role("link", name="Letters"))
    follow(page, page.get_by_role("link", name="Two jobs on plot 7"))
    assert page.get_by_text("Dear Ana,").is_visible()
    follow(page, page.get_by_role("button", name="Log out"))
    assert page.url.endswith("/log-in/")
    return title


@pytest.mark.parametrize("script", [True, False], ids=["with scripts", "without scripts"])
def test_a_grower_reads_records_looks_and_leaves(cast: Cast, walk: Any, script: bool) -> None:
    walk(grower_walk, viewport=PHONE, java_script_enabled=script)

    assert Job.objects.filter(state="done", done_on=TODAY).count() == 1


@pytest.mark.parametrize("script", [True, False], ids=["with scripts", "without scripts"])
def test_a_bed_is_reached_by_the_keyboard_and_tells_its_years(cast: Cast, walk: Any, script: bool) -> None:
    def steps(page: Page) -> None:
        log_in(page, "ana")
        page.goto("/ground/")
        bed = page.get_by_role("link", name="bed 2: its years").first
        bed.focus()
        page.keyboard.press("Tab")
        page.keyboard.press("Shift+Tab")
        assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "bed 2: its years"
        page.keyboard.press("Enter")
        page.wait_for_url("**/beds/*/")
        assert page.get_by_role("link", name="Turnip").count() == 1
        page.goto("/ground/")
        follow(page, page.get_by_role("link", name="Carrot, early: the years of its ground"))
        assert "/patches/" in page.url

    walk(steps, viewport=PHONE, java_script_enabled=script)


def test_the_committee_finds_plots_and_paper_letters(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> None:
        log_in(page, "dee")
        assert page.get_by_role("heading", level=1).inner_text() == "You work no plot at present"
        follow(page, page.get_by_role("link", name="plot 8"))
        assert page.get_by_role("heading", level=1).inner_text() == "Plot 8 in 2027"
        follow(page, page.get_by_role("link", name="Letters"))
        follow(page, page.get_by_role("link", name="Eve Thistle"))
        assert page.get_by_text("Dear Eve Thistle").is_visible()

    walk(steps, viewport=DESK)


@pytest.mark.parametrize("viewport", [PHONE, ZOOMED, DESK], ids=["phone", "zoomed", "desk"])
def test_no_page_is_wider_than_its_window(cast: Cast, walk: Any, viewport: dict[str, int]) -> None:
    def wider(page: Page) -> bool:
        return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))

    found = walk(lambda page: every_page(page, wider), viewport=viewport)

    assert len(found) >= 9
    assert [way for way, is_wider in found.items() if is_wider] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_word_stands_out_from_its_ground(cast: Cast, walk: Any, scheme: str) -> None:
    found = walk(
        lambda page: every_page(page, lambda shown: shown.evaluate(CONTRASTS)),
        viewport=DESK,
        color_scheme=scheme,
    )

    assert {way: faint for way, faint in found.items() if faint} == {}


def test_every_field_has_a_name_and_every_page_one_first_heading(cast: Cast, walk: Any) -> None:
    def faults(page: Page) -> tuple[int, int]:
        nameless = page.evaluate(
            "[...document.querySelectorAll('input:not([type=hidden])')].filter(e => !e.labels.length).length"
        )
        return nameless, page.locator("h1").count()

    found = walk(lambda page: every_page(page, faults), viewport=DESK)

    assert set(found.values()) == {(0, 1)}


def test_buttons_and_folds_are_large_enough_for_a_thumb(cast: Cast, walk: Any) -> None:
    def small(page: Page) -> list[str]:
        return page.evaluate(
            "[...document.querySelectorAll('button, summary, input:not([type=hidden]), nav a')]"
            ".filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 43.5"
            " && !(e.type === 'checkbox' && e.labels[0]?.getBoundingClientRect().height >= 43.5))"
            ".map(e => e.innerText)"
        )

    found = walk(lambda page: every_page(page, small), viewport=PHONE, has_touch=True)

    assert {way: names for way, names in found.items() if names} == {}


def test_on_paper_the_reasons_are_open_and_the_forms_are_gone(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> tuple[bool, bool]:
        log_in(page, "ana")
        page.emulate_media(media="print")
        return (
            page.locator(".why .source").first.is_visible(),
            page.locator(".record").first.is_visible(),
        )

    assert walk(steps, viewport=DESK) == (True, False)
