"""Django's admin: a window for administrators, and for everybody else no address at all."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.contrib import admin
from django.core.cache import cache
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, URLResolver, reverse

from society.models import Account, Member
from tests.factories import Cast, make_account, make_cast, make_delivery, make_member

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 12)
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
WITHOUT_A_GUARD = {"login", "logout", "password_change", "password_change_done"}  # they only lead elsewhere


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    cast = make_cast(since=SINCE, normals=False)
    make_delivery(cast.ana, local_date=TODAY)
    return cast


@pytest.fixture
def kit(cast: Cast) -> Client:
    member = make_member(cast.society, "Kit Cable", joined_on=SINCE)
    return logged_in(make_account(member, since=SINCE, is_administrator=True))


def logged_in(account: Account) -> Client:
    client = Client()
    client.force_login(account)
    return client


def patterns(found: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
    for entry in found:
        if isinstance(entry, URLPattern):
            yield entry
        else:
            yield from patterns(entry.url_patterns)


def urls(pk: int = 1) -> Iterator[str]:
    """Every address of the admin, with a number where one belongs."""
    for pattern in patterns(admin.site.get_urls()):
        if pattern.name is None or pattern.name in WITHOUT_A_GUARD:
            continue
        for arguments in ([], [pk], ["society"], [pk, pk]):
            try:
                yield reverse(f"admin:{pattern.name}", args=arguments)
            except NoReverseMatch:
                continue
            break


def statuses(client: Client, method: str) -> set[int]:
    return {client.generic(method, url).status_code for url in urls()}


@pytest.mark.parametrize("method", METHODS)
def test_to_whoever_is_no_administrator_it_does_not_exist(cast, method):
    for account in (cast.ana_account, cast.ben_account, cast.dee_account):
        assert statuses(logged_in(account), method) == {404}


def test_a_stranger_is_sent_to_the_one_log_in(cast):
    answer = Client().get("/admin/society/member/")

    assert (answer.status_code, answer.url) == (302, "/log-in/?next=/admin/society/member/")


def test_it_has_no_log_in_of_its_own(cast):
    answer = Client().post("/admin/login/", {"username": "kit@alderlane.example", "password": "x"})

    assert (answer.status_code, answer.url) == (302, "/log-in/")


def test_its_log_out_is_the_one_of_the_house(kit):
    answer = kit.post("/admin/logout/")

    assert (answer.status_code, answer.url) == (302, "/log-in/")
    assert kit.get("/admin/").status_code == 302


def test_a_closed_administrator_sees_nothing(cast):
    account = make_account(cast.ben, since=SINCE, email="kit@alderlane.example", is_administrator=True)
    client = logged_in(account)
    account.is_active = False
    account.save()

    assert client.get("/admin/").status_code == 302


def test_an_administrator_may_look_at_every_model(kit):
    lists = [
        reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_changelist")
        for model in admin.site._registry
    ]

    assert len(lists) > 20
    assert {kit.get(url).status_code for url in lists} == {200}


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_nobody_can_change_anything(cast, kit, method):
    before = list(Member.objects.order_by("pk").values())

    for action in ("add/", f"{cast.ana.pk}/change/", f"{cast.ana.pk}/delete/"):
        answer = kit.generic(method, f"/admin/society/member/{action}")
        assert answer.status_code == 405

    assert list(Member.objects.order_by("pk").values()) == before


def test_a_changed_field_is_refused(cast, kit):
    answer = kit.post(f"/admin/society/member/{cast.ana.pk}/change/", {"name": "Somebody Else"})

    assert answer.status_code == 405
    assert Member.objects.get(pk=cast.ana.pk).name == "Ana Orchard"


def test_the_list_offers_no_deleting(cast, kit):
    sent = {"action": "delete_selected", "_selected_action": [cast.ana.pk], "post": "yes"}

    kit.post("/admin/society/member/", sent)

    assert Member.objects.filter(pk=cast.ana.pk).exists()


def test_no_secret_is_shown(cast, kit):
    page = kit.get(f"/admin/society/account/{cast.ana_account.pk}/change/").content.decode()

    assert cast.ana_account.email in page
    assert cast.ana_account.password not in page


def test_sessions_are_not_to_be_read(kit):
    assert kit.get("/admin/sessions/session/").status_code == 404


def test_a_list_takes_no_more_queries_for_more_rows(cast, kit, django_assert_max_num_queries):
    for number in range(30):
        make_member(cast.society, f"Member {number}", joined_on=SINCE)

    with django_assert_max_num_queries(8):
        kit.get("/admin/society/member/")
