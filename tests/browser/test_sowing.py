"""A grower plans a sowing on tired ground, is warned, and meets it again on the plan and in the week."""

import re
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page

from plots.models import Sowing
from tests import factories
from tests.browser.test_pages import CONTRASTS, DESK, PHONE, SINCE, TODAY, ZOOMED, log_in
from tests.factories import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cast(settings: Any) -> Cast:
    """A bed that carried parsnips the year before."""
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    past = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 10, 1)}
    factories.make_sowing(cast.bed, "parsnip", season=2026, **past)
    return cast


def write_wish(page: Page) -> None:
    page.get_by_role("link", name="My ground").click()
    page.get_by_role("link", name="Plan a sowing on plot 7").click()
    page.get_by_label("Bed 1").check()
    page.get_by_label("Crop").select_option("Carrot, early")
    page.get_by_label("On a day that I choose").check()
    page.get_by_label("on", exact=True).fill("2027-04-15")
    page.get_by_role("button", name="Look first").click()


def planning_walk(page: Page) -> tuple[str, str]:
    log_in(page, "ana")
    write_wish(page)
    warning = page.get_by_role("heading", level=1).inner_text()
    page.get_by_role("button", name="Plan it all the same").click()
    said = page.get_by_role("status").inner_text()
    assert said.startswith("Planned: Carrot, early, with its rest warning.")
    page.locator("main").get_by_role("link", name="plot 7").click()
    figure = page.locator("svg.plan .plan-rest").text_content() or ""
    assert page.locator("svg.plan .plan-crop").count() == 1
    page.get_by_role("link", name="This week").click()
    assert page.locator(".ledger").get_by_text("Sow carrot (early)").is_visible()
    return warning, figure


@pytest.mark.parametrize("script", [True, False], ids=["with scripts", "without scripts"])
def test_a_sowing_on_tired_ground_is_planned_with_its_warning(cast: Cast, walk: Any, script: bool) -> None:
    warning, figure = walk(planning_walk, viewport=PHONE, java_script_enabled=script)

    assert warning == "This ground has not rested long enough from the carrot family"
    assert figure == "5 Ap"
    assert Sowing.objects.get(season=2027).verdict.level == "broken"


def test_what_was_planned_is_changed_and_withdrawn(cast: Cast, walk: Any) -> None:
    def steps(page: Page) -> None:
        planning_walk(page)
        page.get_by_role("link", name="My ground").click()
        page.get_by_role("link", name="Carrot, early").click()
        page.get_by_label("Cover", exact=True).select_option("fine mesh")
        page.get_by_role("button", name="Change it").click()
        assert page.get_by_label("Cover", exact=True).input_value() == "mesh"
        page.get_by_role("link", name="Withdraw the plan").click()
        page.get_by_role("button", name="Withdraw it").click()
        assert page.get_by_role("heading", level=1).inner_text() == "Plot 7 in 2027"

    walk(steps, viewport=DESK)

    assert not Sowing.objects.filter(season=2027).exists()


def every_grower_page(page: Page, look: Any) -> dict[str, Any]:
    """What ``look`` finds on the growers' pages, with everything unfolded."""
    found = {}

    def here(name: str, address: str) -> None:
        page.wait_for_url(re.compile(address))  # and until it is loaded whole
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
        found[name] = look(page)

    log_in(page, "ana")
    write_wish(page)
    here("look", r"/sow/\?.*look=first")
    page.get_by_role("button", name="Plan it all the same").click()
    here("sowing", r"/sowings/\d+/$")
    page.get_by_role("link", name="What grew on this ground before").click()
    here("patch", r"/patches/\d+/$")
    page.go_back()
    page.get_by_role("link", name="Withdraw the plan").click()
    here("end", r"/end/$")
    page.get_by_role("link", name="My ground").click()
    here("ground", r"/ground/$")
    page.get_by_role("link", name="Plot 7", exact=True).click()
    here("plot", r"/plots/\d+/$")
    page.get_by_role("link", name="Plan a sowing").first.click()
    here("sow", r"/sow/$")
    return found


@pytest.mark.parametrize("viewport", [PHONE, ZOOMED, DESK], ids=["phone", "zoomed", "desk"])
def test_no_growers_page_is_wider_than_its_window(cast: Cast, walk: Any, viewport: dict[str, int]) -> None:
    def wider(page: Page) -> bool:
        return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))

    found = walk(lambda page: every_grower_page(page, wider), viewport=viewport)

    assert [name for name, is_wider in found.items() if is_wider] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_word_for_growers_stands_out_from_its_ground(cast: Cast, walk: Any, scheme: str) -> None:
    found = walk(
        lambda page: every_grower_page(page, lambda shown: shown.evaluate(CONTRASTS)),
        viewport=DESK,
        color_scheme=scheme,
    )

    assert {name: faint for name, faint in found.items() if faint} == {}


# Every field has a name and no id stands twice; there is one first heading.
FORM_FAULTS = """
() => {
  const fields = [...document.querySelectorAll('input:not([type=hidden]), select')];
  const ids = [...document.querySelectorAll('[id]')].map(each => each.id);
  return [
    fields.filter(each => !each.labels.length).length,
    ids.length - new Set(ids).size,
    document.querySelectorAll('h1').length,
  ];
}
"""


def test_every_field_for_growers_has_a_name(cast: Cast, walk: Any) -> None:
    found = walk(
        lambda page: every_grower_page(page, lambda shown: shown.evaluate(FORM_FAULTS)), viewport=DESK
    )

    assert {name: faults for name, faults in found.items() if faults != [0, 0, 1]} == {}


def test_what_growers_press_is_large_enough_for_a_thumb(cast: Cast, walk: Any) -> None:
    """A round mark counts with its label, which may be pressed as well."""
    small = """
    () => [...document.querySelectorAll('main button, main summary, main select, main input')]
      .filter(each => each.type !== 'hidden' && each.checkVisibility())
      .filter(each => Math.max(each.getBoundingClientRect().height,
        each.type === 'radio' ? each.labels[0].getBoundingClientRect().height : 0) < 43.5)
      .map(each => each.name || each.innerText)
    """
    found = walk(
        lambda page: every_grower_page(page, lambda shown: shown.evaluate(small)),
        viewport=PHONE,
        has_touch=True,
    )

    assert {name: names for name, names in found.items() if names} == {}
