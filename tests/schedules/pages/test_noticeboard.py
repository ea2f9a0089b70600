"""What a screen may read, and how it asks again."""

import hashlib
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from schedules.api_limits import ByScreen, Refused
from schedules.models import Job, Screen
from schedules.screens import screen_make, screen_revoke
from society.models import JournalEntry
from tests.factories import (
    instant,
    make_bed,
    make_job,
    make_notice,
    make_plot,
    make_sowing,
    make_verdict,
)
from tests.schedules.pages.conftest import SINCE, TODAY

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)


@pytest.fixture(autouse=True)
def nobody_has_asked_yet():
    cache.clear()


@pytest.fixture
def screen(cast) -> tuple[Screen, str]:
    return screen_make(site=cast.site, name="gate", now=NOW)


def ask(token: str | None, **headers):
    if token is not None:
        headers["authorization"] = f"Bearer {token}"
    return Client().get(reverse("noticeboard"), headers=headers)


def weeding(cast, **fields) -> Job:
    return make_job(make_sowing(cast.bed, "radish", season=2027), "weed", **{"start_on": TODAY, **fields})


def test_a_screen_reads_the_week_of_its_site(cast, screen):
    weeding(cast)

    body = ask(screen[1]).json()

    assert body["site"] == {"name": "Alder Lane", "zone": "Europe/London"}
    assert body["today"] == "2027-04-12"
    assert body["week"] == [
        {
            "kind": "weed",
            "title": "Weed radish",
            "crop": "Radish",
            "plot": "7",
            "bed": "bed 1",
            "from": "2027-04-12",
            "best": "2027-04-13",
            "by": "2027-04-15",
            "cautions": [],
        }
    ]
    assert body["season"] == {"name": "2027", "week": 15}


def test_a_screen_reads_what_to_mind(cast, screen):
    weeding(cast, cautions=["sap"])

    assert "gloves" in ask(screen[1]).json()["week"][0]["cautions"][0]


def test_ground_that_has_not_rested_is_counted_by_plot(cast, screen):
    for crop, level in (("carrot-early", "broken"), ("radish", "short"), ("turnip", "sound")):
        make_verdict(make_sowing(cast.bed, crop, season=2027), level=level, judged_at=NOW)

    assert ask(screen[1]).json()["ground"] == [{"plot": "7", "short": 1, "broken": 1}]


def test_only_public_notices_in_their_days_are_shown(cast, screen):
    make_notice(cast.site, "Water is on", since=TODAY, until=TODAY)
    make_notice(cast.site, "Over", since=SINCE, until=TODAY - timedelta(days=1))
    make_notice(cast.site, "To come", since=TODAY + timedelta(days=1), until=TODAY + timedelta(days=2))
    make_notice(cast.site, "Committee only", since=TODAY, until=TODAY, is_public=False)

    assert [notice["text"] for notice in ask(screen[1]).json()["notices"]] == ["Water is on"]


def test_no_name_reaches_a_screen(cast, screen):
    canary = "Zebedee Quillfeather"
    for member in (cast.ana, cast.ben, cast.col, cast.dee):
        member.name = f"{canary} {member.pk}"
        member.email = f"quillfeather{member.pk}@canary.example"
        member.save()
    sowing = make_sowing(make_bed(cast.plot, f"{canary}'s bed", since=SINCE), season=2027, variety=canary)
    sowing.planned_by = cast.ana
    sowing.save()
    make_job(sowing, "weed", start_on=TODAY)
    make_verdict(sowing, level="broken", judged_at=NOW, overruled_because=canary, overruled_by=cast.dee)
    make_notice(cast.site, canary, since=TODAY, until=TODAY, is_public=False)

    answer = ask(screen[1])

    everything = (answer.content.decode() + str(answer.headers)).lower()
    assert answer.json()["week"][0]["bed"] == "open ground"
    assert "zebedee" not in everything
    assert "quillfeather" not in everything


def test_another_site_stays_out(cast, screen):
    from tests.factories import make_site

    elsewhere = make_site(cast.society, name="Mill Field")
    plot = make_plot(elsewhere, "99", laid_out_on=SINCE)
    make_job(make_sowing(make_bed(plot, since=SINCE), season=2027), "weed", start_on=TODAY)

    assert ask(screen[1]).json()["week"] == []


def test_the_answer_says_how_it_may_be_kept(cast, screen):
    answer = ask(screen[1])

    assert answer["Cache-Control"] == (
        "private, max-age=60, stale-while-revalidate=300, stale-if-error=86400"
    )
    assert answer["Vary"] == "Authorization, Accept-Language"
    assert answer["ETag"].startswith('"')


def test_an_unchanged_answer_is_not_sent_again(cast, screen):
    weeding(cast)
    first = ask(screen[1])

    again = ask(screen[1], if_none_match=first["ETag"])

    assert (again.status_code, again.content) == (304, b"")
    assert [again[name] for name in ("ETag", "Cache-Control", "Vary")] == [
        first[name] for name in ("ETag", "Cache-Control", "Vary")
    ]


@pytest.mark.parametrize("known", ["W/{}", '"other", {}', "*"])
def test_every_way_of_knowing_the_answer_counts(cast, screen, known):
    etag = ask(screen[1])["ETag"]

    assert ask(screen[1], if_none_match=known.format(etag)).status_code == 304


def test_another_version_gets_the_whole_answer(cast, screen):
    assert ask(screen[1], if_none_match='"other"').status_code == 200


def moved(cast, job):
    Job.objects.update(moves=job.moves + 1, by_on=TODAY + timedelta(days=5))


def recorded(cast, job):
    Job.objects.update(state="not_needed")


def renumbered(cast, job):
    cast.plot.number = "7a"
    cast.plot.save()


def bed_renamed(cast, job):
    cast.bed.name = "bed 9"
    cast.bed.save()


def warned(cast, job):
    make_verdict(job.sowing, level="short", judged_at=NOW)


def noticed(cast, job):
    make_notice(cast.site, "Gate is mended", since=TODAY, until=TODAY)


def site_renamed(cast, job):
    cast.site.name = "Alder Lane East"
    cast.site.save()


@pytest.mark.parametrize("change", [moved, recorded, renumbered, bed_renamed, warned, noticed, site_renamed])
def test_whatever_changes_the_answer_changes_its_version(cast, screen, change):
    job = weeding(cast)
    before = ask(screen[1])

    change(cast, job)
    after = ask(screen[1], if_none_match=before["ETag"])

    assert after.status_code == 200
    assert after.content != before.content


def test_tomorrow_is_another_version(cast, screen):
    weeding(cast)
    before = ask(screen[1])

    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        assert ask(screen[1], if_none_match=before["ETag"]).status_code == 200


@pytest.mark.parametrize("token", [None, "", "crs_unknown", "two words", "gülle"])
def test_without_a_token_that_opens_the_answer_is_a_problem(cast, screen, token):
    answer = ask(token)

    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == 'Bearer realm="noticeboard"'
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["status"] == 401
    assert answer.json()["title"] == "Unauthorized"


def test_a_revoked_token_opens_nothing(cast, screen):
    screen_revoke(screen=screen[0], now=NOW)

    assert ask(screen[1]).status_code == 401


def test_an_expired_token_opens_nothing(cast):
    _, token = screen_make(site=cast.site, name="fête", now=NOW, expires_at=NOW + timedelta(hours=1))
    assert ask(token).status_code == 200

    with time_machine.travel(NOW + timedelta(hours=1), tick=False):
        assert ask(token).status_code == 401


def test_only_the_hash_of_a_token_is_kept(cast, screen):
    made, token = screen

    assert made.token_hash == hashlib.sha256(token.encode()).hexdigest()
    assert token not in str(Screen.objects.filter(pk=made.pk).values())
    assert token not in str(list(JournalEntry.objects.values()))


def test_a_log_in_opens_no_noticeboard(cast, screen):
    client = Client()
    client.force_login(cast.dee_account)

    assert client.get(reverse("noticeboard")).status_code == 401


def test_a_screen_is_noted_as_seen_at_most_once_a_minute(cast, screen):
    made, token = screen
    for seconds, seen in ((0, 0), (59, 0), (60, 60)):
        with time_machine.travel(NOW + timedelta(seconds=seconds), tick=False):
            ask(token)
        made.refresh_from_db()
        assert made.last_seen_at == NOW + timedelta(seconds=seen)


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete", "options"])
def test_a_screen_only_reads(cast, screen, method):
    answer = getattr(Client(), method)(
        reverse("noticeboard"), headers={"authorization": f"Bearer {screen[1]}"}
    )

    assert answer.status_code == 405
    assert answer["Content-Type"] == "application/problem+json"
    assert answer["Allow"] == "GET, HEAD"


@pytest.mark.parametrize("method", ["get", "post", "put", "patch", "delete", "options"])
@pytest.mark.parametrize("address", ["/api/", "/api/v1/nothing/", "/api/v1/noticeboard"])
def test_an_address_the_api_does_not_have_is_a_problem_too(db, address, method):
    answer = getattr(Client(), method)(address)

    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")
    assert answer.json()["instance"] == address


def test_a_screen_that_asks_without_end_is_told_to_wait(cast, screen, monkeypatch):
    monkeypatch.setattr(ByScreen, "rate", "2/minute")

    answers = [ask(screen[1]) for _ in range(3)]

    assert [answer.status_code for answer in answers] == [200, 200, 429]
    assert answers[2]["Content-Type"] == "application/problem+json"
    assert 1 <= int(answers[2]["Retry-After"]) <= 60


def test_guessing_tokens_is_told_to_wait(cast, monkeypatch):
    monkeypatch.setattr(Refused, "rate", "2/minute")

    answers = [ask(f"crs_guess{number}") for number in range(3)]

    assert [answer.status_code for answer in answers] == [401, 401, 429]


def test_a_fault_of_the_server_is_told_without_its_inside(cast, screen, monkeypatch, caplog):
    def fails(*args, **kwargs):
        raise RuntimeError("secret inside")

    monkeypatch.setattr("schedules.api.noticeboard", fails)

    answer = ask(screen[1])

    assert (answer.status_code, answer["Content-Type"]) == (500, "application/problem+json")
    assert "secret inside" not in answer.content.decode()
    assert "secret inside" in caplog.text


def test_over_a_plain_line_the_api_refuses_instead_of_redirecting(cast, screen, settings):
    settings.SECURE_SSL_REDIRECT = True

    answer = ask(screen[1])

    assert answer.status_code == 403
    assert "https" in answer.json()["detail"]


# token, version: jobs, ground, notices; answer: jobs, ground, notices
WHOLE_QUERIES = 7
KEPT_QUERIES = 4


def test_the_noticeboard_costs_the_same_with_one_plot_and_with_fifty(cast, screen, django_assert_num_queries):
    weeding(cast)
    ask(screen[1])  # notes that the screen was seen
    with django_assert_num_queries(WHOLE_QUERIES):
        ask(screen[1])

    for number in range(49):
        bed = make_bed(make_plot(cast.site, f"A{number}", laid_out_on=SINCE), since=SINCE)
        make_job(make_sowing(bed, season=2027), "weed", start_on=TODAY)
    with django_assert_num_queries(WHOLE_QUERIES):
        answer = ask(screen[1])
    assert len(answer.json()["week"]) == 50
    with django_assert_num_queries(KEPT_QUERIES):
        assert ask(screen[1], if_none_match=answer["ETag"]).status_code == 304


def test_a_job_worked_out_last_dates_the_answer(cast, screen):
    weeding(cast, worked_out_at=instant(TODAY, 3))

    assert ask(screen[1]).json()["as_of"] == "2027-04-12T03:00:00Z"
