"""One sowing's whole way through the house, each hand in its own browser.

The secretary invites; the newcomer comes in by the letter's link and plans carrots where parsnips stood;
the secretary overrules the warning; the weekly letter arrives; the newcomer does the job and says so; the
screen at the gate shows it gone. Letters travel through a real mail server.
"""

import re
from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from playwright.sync_api import Page, expect

from plots.models import GroundVerdict, Sowing
from schedules import deliveries
from schedules.models import Job
from schedules.screens import screen_make
from society import clock
from tests import factories
from tests.browser.test_pages import DESK, PHONE, SINCE, TODAY, log_in
from tests.browser.test_screen import WALL, faces, give_token
from tests.factories import Cast
from tests.mail_server import MailServer

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ADDRESS, NEW_PASSWORD = "nell@alderlane.example", "heron-over-the-leeks"
JOB = "Sow carrot (early)"
ON_THE_SCREEN = "Sow or plantCarrot, early"  # work of one kind goes under one heading there


@pytest.fixture
def cast(settings: Any) -> Cast:
    settings.PRETEND_TODAY = TODAY.isoformat()
    cache.clear()
    cast = factories.make_cast(since=SINCE)
    past = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 10, 1)}
    factories.make_sowing(cast.bed, "parsnip", season=2026, **past)
    nell = factories.make_member(cast.society, "Nell Osier", joined_on=TODAY, email="")
    factories.make_preference(nell, weekday=TODAY.weekday(), hour=0)
    factories.make_co_worker(cast.plot, nell, since=TODAY)
    return cast


def post_goes_out(server: MailServer, to: str) -> str:
    """Send what is due as the workers do; the text of the newest letter to an address."""
    before = len(server.arrived)
    with deliveries.Post() as post:
        while claimed := deliveries.deliveries_claim(now=clock.now(), limit=1):
            deliveries.delivery_send(claimed[0], post=post, now=clock.now())
    mine = [letter for letter in server.arrived[before:] if to in str(letter["To"])]
    assert len(mine) == 1
    body = mine[0].get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def invite(page: Page) -> None:
    log_in(page, "dee")
    page.goto("/committee/growers/")
    page.get_by_role("link", name="Nell Osier").click()
    page.get_by_role("link", name=re.compile("[Ii]nvit")).first.click()
    page.get_by_label("E-mail address").fill(ADDRESS)
    page.get_by_role("button", name="Send the invitation").click()
    expect(page.get_by_role("status")).to_be_visible()


def come_in_and_plan(page: Page, link: str) -> str:
    page.goto(link)
    page.get_by_label("New password", exact=True).fill(NEW_PASSWORD)
    page.get_by_label("The new password once more").fill(NEW_PASSWORD)
    page.get_by_role("button", name="Take this password and log in").click()
    page.get_by_role("link", name="My ground").click()
    page.get_by_role("link", name="Plan a sowing on plot 7").click()
    page.get_by_label("Bed 1").check()
    page.get_by_label("Crop").select_option("Carrot, early")
    page.get_by_label("On a day that I choose").check()
    page.get_by_label("on", exact=True).fill(TODAY.isoformat())
    page.get_by_role("button", name="Look first").click()
    warning = page.get_by_role("heading", level=1).inner_text()
    page.get_by_role("button", name="Plan it all the same").click()
    expect(page.get_by_role("status")).to_contain_text("Planned: Carrot, early")
    return warning


def overrule(page: Page) -> None:
    log_in(page, "dee")
    page.goto("/committee/ground/")
    page.get_by_role("link", name="Overrule number 1").click()
    page.get_by_role("textbox").last.fill("Fresh ground was carted in over the winter.")
    page.get_by_role("button", name="Overrule the warning").click()
    expect(page.get_by_text("Fresh ground was carted in")).to_be_visible()


def mark_done(page: Page) -> None:
    page.goto("/log-in/")
    page.get_by_label("E-mail address").fill(ADDRESS)
    page.get_by_label("Password").fill(NEW_PASSWORD)
    page.get_by_role("button", name="Log in").click()
    expect(page.locator(".ledger").get_by_text(JOB)).to_be_visible()
    page.get_by_role("button", name="Done").first.click()
    expect(page.get_by_role("status")).to_contain_text("Recorded")


def test_from_the_invitation_to_the_screen(cast: Cast, walk: Any, mail_server: MailServer) -> None:
    _, token = screen_make(site=cast.site, name="gate", now=clock.now())

    def at_the_gate(page: Page) -> str:
        give_token(page.context, token)
        page.goto("/screen/")
        expect(page.locator(".board-site")).to_have_text("Alder Lane")
        return faces(page)

    walk(invite, viewport=DESK)
    (link,) = re.findall(r"https?://[^/\s]+(/invitation/\S+)", post_goes_out(mail_server, ADDRESS))
    warning = walk(lambda page: come_in_and_plan(page, link), viewport=PHONE)
    assert warning == "This ground has not rested long enough from the carrot family"

    walk(overrule, viewport=DESK)
    assert GroundVerdict.objects.get(sowing__season=2027).overruled_because.startswith("Fresh ground")

    deliveries.deliveries_plan(now=clock.now())
    assert JOB in post_goes_out(mail_server, ADDRESS)
    assert ON_THE_SCREEN in walk(at_the_gate, viewport=WALL)

    walk(mark_done, viewport=PHONE)
    assert Job.objects.get(kind="sow", sowing__season=2027).state == Job.State.DONE
    assert Sowing.objects.get(season=2027).state == Sowing.State.SOWN
    assert ON_THE_SCREEN not in walk(at_the_gate, viewport=WALL)
