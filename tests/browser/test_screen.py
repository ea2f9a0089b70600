"""The noticeboard at the gate: paired, fresh, cut off, and back after a power cut."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import BrowserContext, Page, Request, expect

from schedules.models import Job
from schedules.screens import screen_make
from society import clock
from tests import factories
from tests.browser.conftest import CHROMIUM, QUIET, BrowserThread
from tests.browser.line import Line
from tests.factories import PASSWORD, Cast, make_job, make_notice, make_sowing, make_verdict

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
WALL = {"width": 1920, "height": 1080}
TURNED = {"width": 1080, "height": 1920}
SMALL = {"width": 800, "height": 480}
LONG_NOTICE = (
    "The water main is shut off on Tuesday from 8 to 12 while the leak by the lower gate is mended. Fill a "
    "can on Monday evening, keep a lid on the butt so that no child or animal falls in, and leave the tap "
    "by plot 3 closed until this is taken down. The manure comes on Saturday at 10; bring your own barrow, "
    "leave the track free for the lorry and take two loads at the most. Ask at the hut if in doubt."
)
# What a browser itself writes into its console when it gets no answer, or a refusal.
NO_ANSWER = ("Failed to load resource", "An unknown error occurred when fetching the script")
# Every visible line of text with the height of its letters, in parts of the window's shorter side.
SMALLEST_LETTERS = """
() => {
  const sizes = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || element.closest('.board-hold')) continue;
    if (!element.checkVisibility()) continue;
    sizes.push(parseFloat(getComputedStyle(element).fontSize) / Math.min(innerWidth, innerHeight));
  }
  return Math.min(...sizes);
}
"""
CUT_FACES = """
() => [...document.querySelectorAll('.face')]
  .filter(face => face.scrollHeight > face.clientHeight + 1 || face.scrollWidth > face.clientWidth + 1)
  .map(face => face.textContent)
"""


@pytest.fixture
def cast(settings: Any) -> Cast:
    """A site with work, warned ground and notices, and nobody's earlier questions."""
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    thinning = make_sowing(cast.bed, "carrot-early", season=2027)
    make_job(thinning, "thin", start_on=TODAY, cautions=["sap"])
    make_job(make_sowing(cast.other_bed, "radish", season=2027), "weed", start_on=TODAY - timedelta(days=9))
    make_verdict(thinning, level="short", judged_at=clock.now())
    make_notice(cast.site, LONG_NOTICE, since=TODAY, until=TODAY + timedelta(days=9))
    return cast


@contextmanager
def another(page: Page, name: str) -> Iterator[Page]:
    """Somebody else's browser, logged in."""
    assert page.context.browser
    context = page.context.browser.new_context(base_url=page.url.partition("/screen/")[0], locale="en-GB")
    other = context.new_page()
    other.goto("/log-in/")
    other.get_by_label("E-mail address").fill(f"{name}@alderlane.example")
    other.get_by_label("Password").fill(PASSWORD)
    other.get_by_role("button", name="Log in").click()
    expect(other.get_by_role("button", name="Log out")).to_be_visible()
    try:
        yield other
    finally:
        context.close()


def pass_time(page: Page, *, minutes: int) -> None:
    """The page's clock runs on, and stands still while the page waits for an answer."""
    waiting: set[Request] = set()
    page.on("request", lambda request: waiting.add(request))
    page.on("requestfinished", lambda request: waiting.discard(request))
    page.on("requestfailed", lambda request: waiting.discard(request))
    for _ in range(4 * minutes):
        page.clock.run_for(15_000)
        page.wait_for_timeout(15)
        while waiting:
            page.wait_for_timeout(15)


def faces(page: Page) -> str:
    return "\n".join(page.locator(".face").all_text_contents())


def give_token(context: BrowserContext, token: str) -> None:
    """As if the screen had been paired before."""
    told = json.dumps(json.dumps(token))
    context.add_init_script(
        f"localStorage.getItem('given') || (localStorage.setItem('commonrow.screen.token', {told}),"
        "localStorage.setItem('given', 1))"
    )


def paired(page: Page, token: str) -> None:
    give_token(page.context, token)
    page.clock.install()
    page.goto("/screen/")
    expect(page.locator(".board-site")).to_have_text("Alder Lane")


@pytest.fixture
def token(cast: Cast) -> str:
    return screen_make(site=cast.site, name="gate", now=clock.now())[1]


def test_a_screen_is_paired_by_its_code_and_follows_the_growers(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> None:
        page.clock.install()
        page.goto("/screen/")
        code = page.locator(".face-code").inner_text()
        with another(page, "dee") as committee:
            committee.goto("/screens/")
            committee.get_by_label("The code on the screen").fill(code.lower())
            committee.get_by_label("What to call it").fill("Gate")
            committee.get_by_role("button", name="Pair").click()
            expect(committee.get_by_role("status")).to_contain_text("Paired: Gate")
        page.clock.run_for(5_000)
        expect(page.locator(".board-site")).to_have_text("Alder Lane")
        assert "Thin" in faces(page)
        with another(page, "ana") as grower:
            grower.get_by_role("button", name="Done").first.click()
            expect(grower.get_by_role("status")).to_contain_text("Recorded: Thin")
        pass_time(page, minutes=2)
        expect(page.locator(".board-faces")).not_to_contain_text("Thin")
        assert page.url.endswith("/screen/")

    walk(steps, viewport=WALL)

    assert Job.objects.filter(kind="thin", state="done").count() == 1


@pytest.mark.parametrize("viewport", [WALL, TURNED, SMALL], ids=["wall", "turned", "small"])
def test_every_letter_is_a_twelfth_and_no_face_is_cut(
    cast: Cast, walk: Any, token: str, viewport: dict[str, int]
) -> None:
    def steps(page: Page) -> tuple[float, list[str]]:
        paired(page, token)
        return page.evaluate(SMALLEST_LETTERS), page.evaluate(CUT_FACES)

    smallest, cut = walk(steps, viewport=viewport)

    assert smallest >= 0.999 / 12
    assert cut == []


def test_faces_turn_one_by_one_and_can_be_held(cast: Cast, walk: Any, token: str) -> None:
    def steps(page: Page) -> None:
        paired(page, token)
        shown = page.locator(".face.is-up")
        first = shown.text_content()
        assert first
        page.clock.run_for(12_000)
        expect(shown).not_to_have_text(first)
        second = shown.text_content()
        assert second
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.clock.run_for(24_000)
        expect(shown).to_have_text(second)
        expect(page.get_by_role("button")).to_have_text("Turn the faces again")

    walk(steps, viewport=WALL)


def test_who_asks_for_stillness_gets_every_face_at_once(cast: Cast, walk: Any, token: str) -> None:
    def steps(page: Page) -> tuple[int, int]:
        paired(page, token)
        visible = [face for face in page.locator(".face").all() if face.is_visible()]
        return len(visible), page.locator(".face").count()

    visible, count = walk(steps, viewport=WALL, reduced_motion="reduce")

    assert visible == count > 3


def test_nothing_moves(cast: Cast, walk: Any, token: str) -> None:
    def steps(page: Page) -> int:
        paired(page, token)
        page.clock.run_for(12_000)
        return page.evaluate("document.getAnimations().length")

    assert walk(steps, viewport=WALL) == 0


def test_without_scripts_it_says_what_is_needed(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> None:
        page.goto("/screen/")
        expect(page.get_by_text("JavaScript is needed")).to_be_visible()

    walk(steps, viewport=WALL, java_script_enabled=False)


@pytest.fixture
def at_gate(browser_thread: BrowserThread, live_server: Any, tmp_path: Path) -> Iterator[Callable[..., Any]]:
    """A browser with a profile that outlives it, at the end of a line that can be cut.

    Whatever its console says beside the missing answers fails the walk.
    """
    line = Line(live_server.url)

    def send(steps: Callable[[Page, Line], Any], **options: Any) -> Any:
        def there() -> Any:
            assert browser_thread.driver is not None
            context = browser_thread.driver.chromium.launch_persistent_context(
                tmp_path / "profile",
                executable_path=CHROMIUM,
                args=QUIET,
                base_url=line.url,
                locale="en-GB",
                viewport=WALL,
                **options,
            )
            context.set_default_timeout(10_000)
            said: list[str] = []
            page = context.pages[0]
            page.on("console", lambda message: said.append(message.text))
            page.on("pageerror", lambda fault: said.append(str(fault)))
            try:
                found = steps(page, line)
                assert [text for text in said if not text.startswith(NO_ANSWER)] == []
                return found
            finally:
                context.close()

        return browser_thread.run(there)

    yield send
    line.cut()


def test_cut_off_it_shows_the_last_answer_with_its_time(cast: Cast, at_gate: Any, token: str) -> None:
    def steps(page: Page, line: Line) -> str:
        paired(page, token)
        as_of = page.locator(".board-as-of").inner_text()
        line.cut()
        pass_time(page, minutes=10)
        assert "Thin" in faces(page)
        assert page.locator(".board-as-of").inner_text() == as_of
        line.mend()
        pass_time(page, minutes=18)
        expect(page.locator(".board-as-of")).not_to_have_text(as_of)
        return as_of

    assert at_gate(steps).startswith("as of ")


def test_after_a_day_it_says_large_that_it_is_old(cast: Cast, at_gate: Any, token: str) -> None:
    def steps(page: Page, line: Line) -> tuple[float, float, list[str]]:
        paired(page, token)
        line.cut()
        page.clock.fast_forward(24 * 3_600_000 + 60_000)
        page.clock.run_for(60_000)
        as_of = page.locator(".board-as-of")
        expect(as_of).to_contain_text("Old: as of Monday 12\u00a0April, ")
        size = "element => parseFloat(getComputedStyle(element).fontSize)"
        return as_of.evaluate(size), page.locator(".board-day").evaluate(size), page.evaluate(CUT_FACES)

    large, usual, cut = at_gate(steps)

    assert large > 1.3 * usual
    assert cut == []


def test_cut_off_over_midnight_it_names_the_day_that_it_is(cast: Cast, at_gate: Any, token: str) -> None:
    def steps(page: Page, line: Line) -> None:
        paired(page, token)
        line.cut()
        page.clock.fast_forward(24 * 3_600_000)
        page.clock.run_for(60_000)
        expect(page.locator(".board-day")).to_have_text("Tuesday 13\u00a0April")

    at_gate(steps)


def test_it_comes_up_after_a_power_cut_with_the_server_away(cast: Cast, at_gate: Any, token: str) -> None:
    def before(page: Page, line: Line) -> None:
        paired(page, token)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        line.cut()

    def after(page: Page, line: Line) -> str:
        page.goto("/screen/")
        expect(page.locator(".board-site")).to_have_text("Alder Lane")
        expect(page.locator(".face.is-up")).to_be_visible()
        assert "Thin" in faces(page)
        return page.locator(".board-as-of").inner_text()

    at_gate(before)

    assert at_gate(after).startswith("as of ")


def test_turned_off_by_the_committee_it_forgets_the_week(cast: Cast, at_gate: Any, token: str) -> None:
    def steps(page: Page, line: Line) -> dict[str, str]:
        page.goto("/screen/")
        page.evaluate(f"localStorage.setItem('commonrow.screen.token', '\"{token}\"')")
        page.clock.install()
        page.reload()
        expect(page.locator(".board-site")).to_have_text("Alder Lane")
        page.evaluate("localStorage.setItem('commonrow.screen.token', '\"crs_turned_off\"')")
        page.reload()
        expect(page.locator(".face-code")).to_be_visible()
        assert "Thin" not in page.content()
        return page.evaluate("({...localStorage})")

    assert at_gate(steps) == {}
