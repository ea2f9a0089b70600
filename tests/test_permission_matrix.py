"""Every address, for every role, by every method: the answers stand in permission_matrix.txt.

An address that the table does not name fails, and so does a role that one of its lines leaves out.
'own' is what Ana, the grower, may see: her plot, a job on it, her letter. 'foreign' is Col's. 'missing'
was never there; it must look like 'foreign' to whoever may not see that. Links that came by letter are
tried with a secret that opens nothing; what they open is tested beside the pages. The read-only admin has a
test of its own, tests/society/test_admin.py, because its addresses come from the models.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from schedules import health
from schedules.screens import screen_make
from society.models import Account
from tests import committee_things, factories

TABLE = Path(__file__).with_name("permission_matrix.txt")
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
ROLES = ("anonymous", "waiting", "grower", "helper", "former", "other", "committee", "admin", "screen")
NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SOWING = ("sow", "sowing", "sowing-end", "layouts")
NOTES = ("ground-notes", "ground-event-add", "sighting-add", "other-use-add")
WITHDRAWN = ("ground-event-withdraw", "other-use-withdraw")
AWAY = ("away-accept", "away-decline", "away-end")
NUMBERED = ("plot", "job-record", "letter-print", "screen-revoke", "reading-withdraw")
SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)

Expected = dict[tuple[str, str], dict[str, tuple[int, ...]]]


def read_table() -> Expected:
    table: Expected = defaultdict(dict)
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        words = line.split()
        if not words or words[0].startswith("#"):
            continue
        address, thing, roles, answers = words[0], words[1], words[2:-7], words[-7:]
        for role in ROLES if roles == ["everybody"] else roles:
            assert role in ROLES, f"{line}: {role} is no role"
            assert role not in table[address, thing], f"{address} {thing}: {role} stands twice"
            table[address, thing][role] = tuple(map(int, answers))
    return table


def address_names(resolver: URLResolver | None = None) -> Iterator[str]:
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLPattern):
            yield entry.name or str(entry.pattern)
        elif entry.namespace != "admin":
            yield from address_names(entry)


EXPECTED = read_table()


class House:
    """The cast, what each of them owns, and a client for each role."""

    def __init__(self) -> None:
        self.cast = cast = factories.make_cast(since=SINCE, normals=False)
        former = self._member("Fay Formerly", left_on=date(2027, 1, 1))
        factories.make_tenancy(
            factories.make_plot(cast.site, "9", laid_out_on=SINCE), former, since=SINCE, until=TODAY
        )
        waiting = factories.make_account(self._member("Wim Waits"), since=SINCE)
        admin = factories.make_account(self._member("Kit Cable"), since=SINCE, is_administrator=True)
        _, self.token = screen_make(site=cast.site, name="gate", now=NOW)
        self.accounts: dict[str, Account] = {
            "waiting": waiting,
            "grower": cast.ana_account,
            "helper": cast.ben_account,
            "former": factories.make_account(former, since=SINCE),
            "other": cast.col_account,
            "committee": cast.dee_account,
            "admin": admin,
        }
        elsewhere = factories.make_site(cast.society, name="Birch Lane")
        self.arguments = {
            "own": self._things(cast.plot, cast.bed, cast.ana, asked_by=cast.ben),
            "foreign": self._things(cast.other_plot, cast.other_bed, cast.col, asked_by=former),
            "missing": {
                **dict.fromkeys([*SOWING, *NOTES, *WITHDRAWN], 999),
                "patch": [self.cast.plot.pk, 999],
                "bed": [self.cast.plot.pk, 999],
                "ground-rest": "nowhere",
                "layout": [self.cast.plot.pk, 999],
                "layouts-beside": [self.cast.plot.pk, 999],
                **dict.fromkeys([*NUMBERED, *AWAY], 999),
                **dict.fromkeys(committee_things.ALL, 999),
                **dict.fromkeys(["letter", "letter-again"], UUID(int=9)),
            },
            "-": {
                "api-nothing": "v1/nothing/",
                "invitation": "0" * 64,
                "calendar-file": "nothing",
                "job-by-letter": "nothing",
                "letter-stop": "nothing",
                "account_confirm_email": "nothing:at:all",
                "account_reset_password_from_key": ["1", "nothing"],
            },
        }
        # Both plots lie on one site, so for a whole site what is foreign is another one.
        self.arguments["own"]["ground-rest"] = cast.site.slug
        self.arguments["foreign"]["ground-rest"] = elsewhere.slug

    def _member(self, name: str, **fields: Any) -> Any:
        return factories.make_member(self.cast.society, name, joined_on=SINCE, **fields)

    def _things(self, plot: Any, bed: Any, member: Any, *, asked_by: Any) -> dict[str, Any]:
        sowing = factories.make_sowing(bed, season=2027)
        job = factories.make_job(sowing, "weed", start_on=TODAY)
        letter = factories.make_delivery(member, local_date=TODAY)
        layout = factories.make_layout(plot, at=NOW)
        second = factories.make_layout(plot, at=NOW, origin="second", beside=layout)
        asked = factories.make_absence(asked_by, member, since=TODAY, until=TODAY)
        return {
            "plot": plot.pk,
            "patch": [plot.pk, sowing.patch_id],
            "bed": [plot.pk, bed.pk],
            "sow": plot.pk,
            "layouts": plot.pk,
            **dict.fromkeys(NOTES, plot.pk),
            "ground-event-withdraw": factories.make_ground_event(bed, "lime", on=TODAY).pk,
            "other-use-withdraw": factories.make_other_use(bed, "mustard", "Brassicaceae", season=2026).pk,
            "layout": [plot.pk, layout.pk],
            "layouts-beside": [plot.pk, second.pk],
            "sowing": sowing.pk,
            "sowing-end": sowing.pk,
            "job-record": job.pk,
            "letter": letter.key,
            "letter-again": letter.key,
            "letter-print": member.pk,
            "reading-withdraw": factories.make_reading(plot.site, member, TODAY).pk,
            "screen-revoke": screen_make(site=plot.site, name=f"by {plot.number}", now=NOW)[0].pk,
            **dict.fromkeys(AWAY, asked.pk),
            **committee_things.committee_things(plot, bed, member, today=TODAY),
        }

    def url(self, address: str, thing: str) -> str:
        argument = self.arguments[thing].get(address)
        several = argument if isinstance(argument, list) else [argument]
        return reverse(address, args=[] if argument is None else several)

    def client(self, role: str) -> Client:
        headers = {"authorization": f"Bearer {self.token}"} if role == "screen" else {}
        # An address of its own for each role, so that no role waits for another's tries to log in.
        client = Client(headers=headers, REMOTE_ADDR=f"192.0.2.{ROLES.index(role) + 1}")
        if role in self.accounts:
            client.force_login(self.accounts[role])
        return client


@pytest.fixture
def house(db: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[House]:
    monkeypatch.setattr(health, "PROCESS_BEGAN", health.time.monotonic())
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield House()
    cache.clear()


@pytest.mark.parametrize(("address", "thing"), list(EXPECTED), ids=lambda word: word)
def test_every_role_gets_the_answer_of_the_table(house: House, address: str, thing: str) -> None:
    url = house.url(address, thing)

    found = {
        role: tuple(house.client(role).generic(method, url).status_code for method in METHODS)
        for role in ROLES
    }

    assert found == {role: EXPECTED[address, thing].get(role) for role in ROLES}


def test_every_address_stands_in_the_table() -> None:
    assert set(address_names()) == {address for address, _ in EXPECTED}


def test_every_line_of_the_table_covers_every_role() -> None:
    short = {key: set(ROLES) - set(answers) for key, answers in EXPECTED.items()}

    assert {key: roles for key, roles in short.items() if roles} == {}


def test_an_address_with_an_object_is_tried_with_all_three() -> None:
    things = defaultdict(set)
    for address, thing in EXPECTED:
        things[address].add(thing)

    assert all(each in ({"-"}, {"own", "foreign", "missing"}) for each in things.values())


@pytest.mark.parametrize("address", sorted({address for address, thing in EXPECTED if thing == "foreign"}))
def test_what_is_foreign_cannot_be_told_from_what_is_not_there(house: House, address: str) -> None:
    client = house.client("grower")

    ask = client.post if EXPECTED[address, "own"]["grower"][0] == 405 else client.get
    foreign, missing = (ask(house.url(address, thing)) for thing in ("foreign", "missing"))

    assert foreign.status_code == missing.status_code == 404
    assert without_signature(foreign) == without_signature(missing)


def without_signature(answer: Any) -> str:
    """The page without the log-out form's one-time token."""
    return "".join(line for line in answer.content.decode().splitlines() if "csrfmiddlewaretoken" not in line)
