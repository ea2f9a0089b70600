"""Setting a real society up: one command, one link, and the door is open."""

import re
from io import StringIO

import pytest
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import Client

from plots.models import Site
from schedules.journal_reading import journal_lines, journal_of
from society.models import Member, Society

pytestmark = pytest.mark.django_db
WORDS = {
    "society": "Withy Lane Growers",
    "zone": "Europe/London",
    "site": "Withy Lane",
    "lat": "52.1",
    "lon": "-1.2",
    "member": "Ida Rake",
    "email": "ida@withylane.example",
}


def begin(**changes: str) -> str:
    said = StringIO()
    call_command("begin", stdout=said, **{**WORDS, **changes})
    return said.getvalue()


def test_the_printed_link_lets_the_first_committee_member_in() -> None:
    cache.clear()
    (path,) = re.findall(r"https?://[^/\s]+(/invitation/\S+)", begin())
    browser = Client()
    password = "three-words-of-barrow-soil"
    assert browser.get(path).status_code == 200
    browser.post(path, {"password1": password, "password2": password})
    assert browser.get("/committee/").status_code == 200


def test_the_beginning_of_the_growing_year_is_said_as_a_day() -> None:
    assert "its growing year begins on 1 January." in begin()


def test_the_link_works_once() -> None:
    cache.clear()
    (path,) = re.findall(r"https?://[^/\s]+(/invitation/\S+)", begin())
    password = "three-words-of-barrow-soil"
    Client().post(path, {"password1": password, "password2": password})
    assert Client().get(path).status_code == 410


def test_a_server_holds_one_society() -> None:
    begin()
    with pytest.raises(CommandError, match="--society: this server has its society already"):
        begin(society="Another")
    assert Society.objects.count() == 1


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("zone", "Europe/Nowhere", "--zone"),
        ("lat", "91", "--lat"),
        ("lon", "west", "--lon"),
        ("email", "not an address", "--email"),
    ],
)
def test_a_wrong_word_names_its_option_and_sets_nothing_up(option: str, value: str, said: str) -> None:
    with pytest.raises(CommandError, match=said):
        begin(**{option: value})
    assert not Society.objects.exists()
    assert not Site.objects.exists()
    assert not Member.objects.exists()


def test_a_southern_site_begins_its_year_in_its_own_winter() -> None:
    begin(zone="Pacific/Auckland", lat="-40", lon="175")
    assert Site.objects.get().season_month in {6, 7, 8}


def test_the_journal_says_that_the_society_was_set_up() -> None:
    begin()
    told = [line.what for line in journal_lines(journal_of("people"))]
    assert "set the society up" in told
