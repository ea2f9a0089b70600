"""Asking once: what goes over the line, and every way in which it may fail."""

import gzip
import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from schedules.forecast import client
from schedules.forecast.client import NoAnswer, ask
from schedules.forecast.service import Place, Service
from tests.schedules.forecast.answers import body
from tests.schedules.forecast.service import (
    CERTIFICATE,
    LoopbackService,
    Reply,
    Request,
    unused_address,
)

START = datetime(2027, 4, 12, 8, tzinfo=UTC)
PLACE = Place(52.0, -1.0)
CONTACT = "growers@alderlane.example"
MEGABYTE = 1_000_000


def asked(reply: Reply | Callable[[Request], Reply], **options: Any) -> tuple[client.Answer, list[Request]]:
    answer = reply if callable(reply) else lambda request: reply
    with LoopbackService(answer) as service:
        return ask(Service(service.address, CONTACT), PLACE, **options), service.requests


def test_the_question_names_program_and_contact_and_asks_for_a_packed_answer() -> None:
    """The terms: identify yourself with a way to reach you, and support gzip."""
    _, [request] = asked(Reply(body=body(START)))
    assert request.headers["User-Agent"].startswith("Commonrow/")
    assert request.headers["User-Agent"].endswith(f" {CONTACT}")
    assert request.headers["Accept-Encoding"] == "gzip"
    assert "If-Modified-Since" not in request.headers


@pytest.mark.parametrize(
    ("place", "query"),
    [
        (Place(52.0, -1.0), "lat=52&lon=-1"),
        (Place(52.123456, -1.987654), "lat=52.1234&lon=-1.9876"),
        (Place(-33.90001, 18.4, 12.4), "altitude=12&lat=-33.9&lon=18.4"),
        (Place(-0.00001, 0.0), "lat=0&lon=0"),
        (Place(60.5, 10.0, 9001.0), "lat=60.5&lon=10"),
    ],
)
def test_a_place_is_told_to_four_decimals_at_the_most(place: Place, query: str) -> None:
    """The terms: truncate all coordinates to at most four decimals; five bring a 403."""
    with LoopbackService(lambda request: Reply(body=b"{}")) as service:
        ask(Service(service.address, CONTACT), place)
        assert [request.path.partition("?")[2] for request in service.requests] == [query]


def test_the_last_modified_of_the_answer_held_goes_back_word_for_word() -> None:
    """The terms: If-Modified-Since should be identical to the previous Last-Modified."""
    words = "Mon, 12 Apr 2027 07:41:03 GMT"
    answer, [request] = asked(Reply(304), last_modified=words)
    assert request.headers["If-Modified-Since"] == words
    assert (answer.status, answer.body) == (304, b"")


@pytest.mark.parametrize("packs", [True, False])
def test_an_answer_arrives_whole_packed_or_not(packs: bool) -> None:
    said = {"Expires": "a", "Last-Modified": "b", "Retry-After": "c", "Content-Type": "application/JSON; x=y"}
    answer, _ = asked(Reply(body=body(START), packs=packs, headers=said))
    assert answer.body == body(START)
    assert (answer.expires, answer.last_modified, answer.retry_after) == ("a", "b", "c")
    assert answer.content_type == "application/json"


@pytest.mark.parametrize("status", [400, 403, 404, 422, 429, 500, 503])
def test_a_refusal_is_an_answer_without_a_body(status: int) -> None:
    answer, _ = asked(Reply(status, body=b"<html>" * 1000))
    assert (answer.status, answer.body) == (status, b"")


def failing(reply: Reply | Callable[[Request], Reply], **options: Any) -> str:
    with pytest.raises(NoAnswer) as fault:
        asked(reply, **options)
    return str(fault.value)


@pytest.mark.parametrize("packs", [True, False])
def test_an_answer_that_is_cut_off_is_no_answer(packs: bool) -> None:
    assert "cut off" in failing(Reply(body=body(START), cut_at=200, packs=packs))


def test_a_packed_answer_of_unstated_length_that_is_cut_off_is_no_answer() -> None:
    assert "cut off" in failing(Reply(body=body(START), cut_at=200, says_length=False))


def test_an_answer_that_is_announced_too_long_is_not_read() -> None:
    reply = Reply(body=b" " * 10, packs=False, says_length=False, headers={"Content-Length": str(10**9)})
    assert "longer than 4 MB" in failing(reply)


def test_an_answer_that_turns_out_too_long_is_broken_off() -> None:
    assert "longer than 4 MB" in failing(Reply(body=b" " * (5 * MEGABYTE), packs=False, says_length=False))


def test_a_small_answer_that_swells_is_never_unpacked_whole() -> None:
    swells = gzip.compress(b" " * (60 * MEGABYTE))
    assert len(swells) < MEGABYTE
    reply = Reply(body=swells, packs=False, headers={"Content-Encoding": "gzip"})
    assert "longer than 4 MB" in failing(reply)


def test_what_calls_itself_packed_and_is_not_is_no_answer() -> None:
    assert "unpacked" in failing(Reply(body=b"{}", packs=False, headers={"Content-Encoding": "gzip"}))


def test_a_packing_that_was_not_asked_for_is_no_answer() -> None:
    assert "packed as br" in failing(Reply(body=b"{}", packs=False, headers={"Content-Encoding": "br"}))


def test_nobody_there_is_no_answer() -> None:
    with pytest.raises(NoAnswer, match="connection failed"):
        ask(Service(unused_address(), CONTACT), PLACE)


def test_a_name_that_leads_nowhere_is_no_answer() -> None:
    with pytest.raises(NoAnswer):
        ask(Service("https://nowhere.invalid", CONTACT), PLACE, whole_s=5)


def test_a_silent_service_is_left_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client, "READ_S", 0.2)
    assert "in time" in failing(Reply(body=body(START), slow_s=30))


def test_the_whole_exchange_ends_in_time_though_every_byte_comes_in_time() -> None:
    """A service that drips keeps every single wait short."""
    begun = time.perf_counter()
    words = failing(Reply(body=body(START), packs=False, drip_s=0.05), whole_s=0.5)
    assert "in time" in words or "within" in words
    assert time.perf_counter() - begun < 2


def test_a_redirect_within_the_host_is_followed() -> None:
    def moved(request: Request) -> Reply:
        if request.path.startswith("/elsewhere"):
            return Reply(body=b"{}")
        return Reply(301, headers={"Location": f"/elsewhere?{request.path.partition('?')[2]}"})

    answer, requests = asked(moved)
    assert (answer.status, answer.body) == (200, b"{}")
    assert requests[1].path == "/elsewhere?lat=52&lon=-1"
    assert requests[1].headers["User-Agent"].endswith(CONTACT)


def test_a_redirect_to_another_host_is_not_followed() -> None:
    with LoopbackService(lambda request: Reply(body=b"{}")) as other:
        words = failing(Reply(302, headers={"Location": f"{other.address}/x"}))
        assert "another host" in words
        assert other.requests == []


def test_redirects_in_a_ring_come_to_an_end() -> None:
    assert "too often" in failing(Reply(302, headers={"Location": "/x?lat=52"}))


def test_an_unknown_certificate_is_not_trusted() -> None:
    with LoopbackService(lambda request: Reply(body=b"{}"), tls=True) as service:
        with pytest.raises(NoAnswer, match="certificate is not to be trusted"):
            ask(Service(service.address, CONTACT), PLACE)
        assert service.requests == []


def test_a_certificate_that_this_machine_trusts_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(CERTIFICATE))
    with LoopbackService(lambda request: Reply(body=b"{}"), tls=True) as service:
        assert ask(Service(service.address, CONTACT), PLACE).status == 200


def test_a_certificate_of_another_name_is_not_trusted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(CERTIFICATE))
    with LoopbackService(lambda request: Reply(body=b"{}"), tls=True) as service:
        by_name = service.address.replace("127.0.0.1", "localhost")
        with pytest.raises(NoAnswer, match="certificate is not to be trusted"):
            ask(Service(by_name, CONTACT), PLACE)
