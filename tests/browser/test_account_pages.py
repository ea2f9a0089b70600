"""From the invitation to letters and a stand-in, and the administrators' window, as a browser sees them."""

from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page

from schedules.invitation_services import invitation_make
from society import clock
from society.invitation_tokens import token_of
from society.models import Absence, LetterPreference
from tests import factories
from tests.factories import PASSWORD, Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
NEW = "three-words-of-barrow-soil"


@pytest.fixture
def cast(settings: Any) -> Cast:
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    return factories.make_cast(since=SINCE, normals=False)


def press(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()


def log_in(page: Page, email: str) -> None:
    page.goto("/log-in/")
    page.get_by_label("E-mail address").fill(email)
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Log in")


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


@pytest.mark.parametrize("script", [True, False], ids=["with scripts", "without scripts"])
def test_an_invitation_leads_to_letters_and_a_stand_in(cast: Cast, walk: Any, script: bool) -> None:
    wim = factories.make_member(cast.society, "Wim Waits", joined_on=SINCE)
    invitation = invitation_make(member=wim, email=wim.email, account=None, now=clock.now())

    def steps(page: Page) -> None:
        page.goto(f"/invitation/{token_of(invitation)}/")
        page.get_by_label("New password", exact=True).fill(NEW)
        page.get_by_label("The new password once more").fill(NEW)
        press(page, "Take this password and log in")
        page.goto("/letters/wanted/")
        page.get_by_label("On which day").select_option("Sunday")
        press(page, "Keep this")
        page.goto("/away/")
        page.get_by_label("First day away").fill("2027-05-03")
        page.get_by_label("Last day away").fill("2027-05-17")
        page.get_by_label("Who stands in").fill("Col Furrow")
        press(page, "Ask")
        assert page.get_by_role("status").inner_text() == "Col Furrow is asked by letter."

    walk(steps, viewport=PHONE, java_script_enabled=script)

    assert LetterPreference.objects.get(member=wim).weekday == 6
    assert Absence.objects.get(member=wim).stand_in == cast.col


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_no_page_of_an_account_is_wider_than_the_screen(cast: Cast, walk: Any, size: dict[str, int]) -> None:
    factories.make_absence(cast.ana, cast.col, since=TODAY, until=TODAY)
    closed = ["/password/forgotten/", "/password/forgotten/sent/"]
    opened = ["", "password/", "addresses/", "confirm/"]

    def steps(page: Page) -> dict[str, bool]:
        found = {}
        for way in closed:
            page.goto(way)
            found[way] = fits(page)
        log_in(page, cast.col_account.email)
        for way in [f"/account/{rest}" for rest in opened] + ["/letters/wanted/", "/away/"]:
            page.goto(way)
            found[way] = fits(page)
        return found

    assert set(walk(steps, viewport=size).values()) == {True}


def test_the_admin_keeps_to_the_policy_of_the_house(cast: Cast, walk: Any) -> None:
    kit = factories.make_member(cast.society, "Kit Cable", joined_on=SINCE)
    factories.make_account(kit, since=SINCE, is_administrator=True)

    def steps(page: Page) -> None:
        log_in(page, kit.email)
        for way in ("/admin/", "/admin/society/member/", f"/admin/society/member/{kit.pk}/change/"):
            page.goto(way)
            assert page.get_by_role("button", name="Save").count() == 0

    walk(steps, viewport=DESK)  # whatever the console says, a broken policy included, fails the walk
