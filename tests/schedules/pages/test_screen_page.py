"""What the noticeboard's page is made of, as far as it can be seen without a browser."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

STATIC = Path(__file__).parents[3] / "schedules" / "static" / "schedules"


@pytest.fixture
def page(db) -> str:
    return Client().get("/screen/").content.decode()


def worker_paths() -> list[str]:
    text = (STATIC / "screen-worker.js").read_text(encoding="utf-8")
    return re.findall(r'"(/[^"]+)"', text)


def test_the_worker_keeps_the_page_and_everything_that_it_loads(page):
    loaded = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)

    assert set(worker_paths()) == {"/screen/", *loaded}


def test_everything_that_the_worker_keeps_is_there(db):
    missing = [path for path in worker_paths()[1:] if not finders.find(path.removeprefix("/static/"))]

    assert missing == []


def test_the_worker_lies_above_the_page_and_is_asked_for_afresh(db):
    answer = Client().get("/screen/service-worker.js")

    assert answer["Content-Type"] == "text/javascript"
    assert answer["Cache-Control"] == "no-cache"


def test_only_the_screen_may_ask_by_script(db):
    policies = [Client().get(path)["Content-Security-Policy"] for path in ("/screen/", "/log-in/")]

    assert "connect-src 'self'" in policies[0]
    assert "connect-src" not in policies[1]
    assert not any("unsafe" in policy for policy in policies)


def test_what_stands_there_without_script_says_what_is_needed(page):
    plain = page.partition("<main")[2].partition("</main>")[0]

    assert "JavaScript is needed" in plain


def test_nothing_of_the_society_lies_in_the_page_itself(cast):
    assert "Alder Lane" not in Client().get("/screen/").content.decode()
