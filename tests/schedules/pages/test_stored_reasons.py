"""A reason kept in an older form costs a page its one sentence and nothing else."""

import logging
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from plots.models import GroundVerdict, Sowing
from schedules import stored_reasons
from schedules.models import Explanation, Job, Outlook
from schedules.noticeboard import noticeboard
from schedules.plan_services import site_replan
from schedules.planner.sentences import SENTENCES
from schedules.stored_reasons import cautions_read, notes_read, reason_read, verdict_read
from schedules.weekly_letters import weekly_letter
from tests import factories
from tests.schedules.pages.conftest import TODAY

OLD_FORM = "kept in an older form"
THINNING = {"spacing_mm": 25, "stage": 1, "stages": 2, "after_days": 10, "basis": "years", "basis_years": 10}
OLD: list[dict[str, Any]] = [
    {"rule": "a rule that nobody knows", "values": THINNING},
    {"rule": "thin_to_spacing", "values": {}},
    {"rule": "thin_to_spacing", "values": {**THINNING, "spacing_mm": "wide", "after_days": ["ten"]}},
    {"rule": "thin_to_spacing", "values": {**THINNING, "spacing_mm": None, "basis": 7}},
    {"rule": "thin_to_spacing", "values": ["of", "another", "type"]},
    {"rule": "thin_to_spacing", "values": "a word"},
]


@pytest.fixture(autouse=True)
def logs_afresh() -> None:
    stored_reasons._log_once.cache_clear()


@pytest.fixture
def sowing(cast: factories.Cast) -> Sowing:
    return factories.make_sowing(cast.bed, season=2027, state="planned")


def old_job(sowing: Sowing, old: dict[str, Any]) -> Job:
    note = {"source": "a book", **old}
    return factories.make_job(
        sowing, "thin", start_on=TODAY, **old, notes=[note, "no note at all"], cautions=["sap", "of-old"]
    )


def old_outlook(sowing: Sowing, old: dict[str, Any]) -> None:
    said = [{"source": "a book", **old}]
    kept = factories.make_explanation(
        sowing.patch.site, at=factories.instant(TODAY), rule="outlook", warnings=said, notes=said
    )
    Outlook.objects.create(sowing=sowing, explanation=kept, worked_out_at=factories.instant(TODAY))


@pytest.mark.parametrize("old", OLD)
def test_every_door_reads_on_past_it(cast, as_account, sowing, old):
    job = old_job(sowing, old)
    old_outlook(sowing, old)
    client: Client = as_account(cast.ana_account)
    for address in (
        reverse("this-week"), reverse("sowing", args=[sowing.pk]), reverse("job-record", args=[job.pk]),
    ):  # fmt: skip
        answer = client.get(address)
        assert answer.status_code == 200, address
        page = answer.content.decode()
        assert "Thin carrot" in page, address
        assert OLD_FORM in page, address
    letter = weekly_letter(member=cast.ana, reader=cast.ana, today=TODAY)
    assert list(letter.told["jobs"]) == [job.key]
    assert OLD_FORM in " ".join(letter.text.split())
    assert OLD_FORM in letter.html


@pytest.mark.parametrize("old", OLD)
def test_the_board_at_the_gate_reads_on_past_it(sowing, old):
    old_job(sowing, old)
    assert "Thin carrot" in str(noticeboard(sowing.patch.site, today=TODAY))


def test_a_job_says_it_once_for_all_its_notes_and_once_for_its_reason():
    old = {"rule": "gone", "values": {}, "source": "a book"}
    assert notes_read([old, {**old, "rule": "gone too"}, "no note", None], units="metric") == (
        stored_reasons.UNREADABLE,
    )


def test_a_caution_that_is_not_known_is_not_passed_over():
    first, second = cautions_read(["sap", "of-old"])
    assert "gloves" in first
    assert second == stored_reasons.UNREADABLE_CAUTION


def test_a_verdict_of_an_older_form_costs_its_own_sentence(cast, as_account, sowing):
    factories.make_verdict(
        sowing, level="broken", judged_at=factories.instant(TODAY), rule="rotation-of-old", values={}
    )
    page = as_account(cast.ana_account).get(reverse("sowing", args=[sowing.pk]))
    assert page.status_code == 200
    assert OLD_FORM in page.content.decode()
    assert GroundVerdict.objects.count() == 1
    assert verdict_read("rotation-no-rule", {"crop": "Carrot"}) == stored_reasons.UNREADABLE_VERDICT


@pytest.mark.parametrize("rule", sorted(SENTENCES))
@pytest.mark.parametrize("values", [{}, {"basis": None}, None, 3, [1]])
def test_no_rule_breaks_on_values_of_another_shape(rule, values):
    assert reason_read(rule, values, None, units="imperial")


def test_it_is_logged_once_with_the_rule_and_the_fault(caplog):
    with caplog.at_level(logging.WARNING, logger="schedules.stored_reasons"):
        for _ in range(3):
            reason_read("gone", {}, "", units="metric")
    [line] = caplog.messages
    assert "gone" in line
    assert "KeyError" in line


def test_a_replanning_gives_what_is_open_its_reason_anew(cast, sowing):
    """Periodic replanning rewrites an explanation whose content is not today's: no version is needed."""
    now = factories.instant(TODAY)
    site_replan(site=sowing.patch.site, now=now)
    job = Job.objects.filter(sowing=sowing, is_asked=True).first()
    assert job is not None
    Explanation.objects.filter(pk=job.explanation_id).update(rule="gone", values={}, content="of old")
    site_replan(site=sowing.patch.site, now=now)
    job = Job.objects.get(pk=job.pk)
    assert job.rule in SENTENCES
