"""What the invented society holds: the planted faults and no others, and nothing absurd on any day shown."""

import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from shapely import Polygon, STRtree

from tests.schedules.demo_runs import SPRING, SUMMER, WINTER, Run, manage, query

LATEST_DAYS = 21
SAME_GROUND_M2 = 0.05
OPEN_JOBS = (
    "SELECT j.kind, j.by_on, s.crop, p.number FROM schedules_job j JOIN plots_sowing s ON s.id = j.sowing_id "
    "JOIN plots_patch pa ON pa.id = s.patch_id JOIN plots_plot p ON p.id = pa.plot_id "
    "WHERE j.state = 'open' AND j.is_asked"
)
STOOD = (
    "SELECT pa.outline, s.sown_on, coalesce(s.ended_on, '9999-12-31'), s.crop, pa.plot_id "
    "FROM plots_sowing s JOIN plots_patch pa ON pa.id = s.patch_id "
    "WHERE s.sown_on IS NOT NULL AND NOT pa.is_coarse ORDER BY s.id"
)


@pytest.fixture(scope="module")
def verdicts(spring: Run) -> list[dict[str, Any]]:
    run = manage(spring.folder, "check_ground", "--json", COMMONROW_TODAY=SPRING)
    assert run.returncode == 0, run.stderr
    return list(json.loads(run.stdout))


def found(verdicts: list[dict[str, Any]], plot: str, bed: str) -> dict[str, Any]:
    (one,) = [each for each in verdicts if (each["plot"], each["bed"], each["season"]) == (plot, bed, 2027)]
    return one


def earlier(verdict: dict[str, Any]) -> set[tuple[str, int]]:
    return {(each["crop"], each["last_season"]) for each in verdict["overlaps"]}


def test_part_of_a_bed_carried_carrots_too_lately(verdicts: list[dict[str, Any]]) -> None:
    fault = found(verdicts, "2", "bed C")
    assert (fault["crop"], fault["level"]) == ("carrot-maincrop", "broken")
    assert fault["share"] == pytest.approx(3 / 8, abs=0.001)
    assert earlier(fault) == {("carrot-maincrop", 2025)}


def test_a_bed_dug_over_to_another_angle_keeps_its_history(
    spring: Run, verdicts: list[dict[str, Any]]
) -> None:
    fault = found(verdicts, "12", "bed F")
    assert (fault["crop"], fault["level"]) == ("swede", "short")
    assert 0.3 < fault["share"] < 0.9
    assert earlier(fault) == {("cabbage-summer", 2022), ("calabrese", 2022)}
    beds = (
        "SELECT b.name, b.until FROM plots_bed b JOIN plots_plot p ON p.id = b.plot_id WHERE p.number = '12'"
    )
    assert ("bed C", "2025-01-01") in query(spring.folder, beds)
    assert ("bed F", None) in query(spring.folder, beds)


def test_reused_mix_in_a_trough_carried_tomatoes_last_year(verdicts: list[dict[str, Any]]) -> None:
    fault = found(verdicts, "7", "trough")
    assert (fault["crop"], fault["level"], fault["share"]) == ("potato-early", "broken", 1.0)
    assert earlier(fault) == {("tomato", 2026)}


def test_every_verdict_broken_or_short_is_a_planted_one(verdicts: list[dict[str, Any]]) -> None:
    faults = {(each["plot"], each["bed"]) for each in verdicts if each["level"] in {"broken", "short"}}
    assert faults == {("2", "bed C"), ("12", "bed F"), ("7", "trough")}


def test_most_of_the_ground_is_sound_and_the_rest_honestly_not_known(verdicts: list[dict[str, Any]]) -> None:
    others = [each for each in verdicts if each["level"] in {"possible", "no record"}]
    assert all(each["plot"] == "19" or each["rule"] == "rotation-no-rule" for each in others)
    assert sum(each["level"] == "sound" for each in verdicts) > 300


def test_each_planned_date_stands_on_ten_past_years(spring: Run) -> None:
    bases = query(
        spring.folder,
        "SELECT DISTINCT json_extract(why.\"values\", '$.basis'), "
        "json_extract(why.\"values\", '$.basis_years') FROM schedules_job AS job "
        "JOIN schedules_explanation AS why ON why.id = job.explanation_id "
        "WHERE job.kind = 'lift' AND job.state = 'open'",
    )
    assert bases == [("years", 10)]


@pytest.mark.parametrize("day", [SPRING, SUMMER, WINTER])
def test_no_job_is_absurdly_late(society_on: Callable[[str], Run], day: str) -> None:
    shown = date.fromisoformat(day)
    late = [row for row in query(society_on(day).folder, OPEN_JOBS) if days(row[1], shown) > LATEST_DAYS]
    assert late == []


def days(by_on: str, shown: date) -> int:
    return (shown - date.fromisoformat(by_on)).days


def test_no_two_crops_ever_stood_on_the_same_ground(society_on: Callable[[str], Run]) -> None:
    stood = query(society_on(WINTER).folder, STOOD)
    shapes = [Polygon(json.loads(row[0])) for row in stood]
    pairs = STRtree(shapes).query(shapes, predicate="intersects").T
    both = [
        (stood[one], stood[other])
        for one, other in pairs
        if one < other and shapes[one].intersection(shapes[other]).area > SAME_GROUND_M2
    ]
    assert len(both) > 1000
    assert [(one[3:], other[3:]) for one, other in both if one[1] < other[2] and other[1] < one[2]] == []


def test_the_people_are_of_every_kind(spring: Run) -> None:
    def count(statement: str) -> int:
        ((number,),) = query(spring.folder, f"SELECT count(*) FROM {statement}")
        return int(number)

    tenancies = "SELECT tenancy_id FROM plots_tenancyholder GROUP BY tenancy_id"
    assert count("plots_plot WHERE id NOT IN (SELECT plot_id FROM plots_tenancy WHERE until IS NULL)") == 1
    assert count("(SELECT 1 FROM plots_tenancyholder GROUP BY member_id HAVING count(*) = 2)") == 5
    assert count(f"({tenancies} HAVING count(*) = 2)") == 2
    assert count("(SELECT 1 FROM society_accountmember GROUP BY account_id HAVING count(*) = 2)") == 1
    assert count("society_member WHERE email = ''") == 2
    assert count("plots_coworker") == 1
    assert count("society_absence WHERE accepted_at IS NOT NULL") == 1
    assert count("plots_waitingentry WHERE closed_on IS NULL") == 1
    assert count("society_committeeseat WHERE until IS NULL") == 3
    assert count("society_account WHERE is_administrator") == 1


def test_the_board_has_notices_an_event_and_an_agreed_screen(spring: Run) -> None:
    public = query(spring.folder, "SELECT is_public, count(*) FROM schedules_notice GROUP BY is_public")
    assert dict(public) == {0: 1, 1: 2}
    assert query(spring.folder, "SELECT count(*) FROM schedules_event") == [(1,)]
    waiting = (
        "SELECT count(*) FROM schedules_screenpairing WHERE secret_hash IS NULL AND screen_id IS NOT NULL"
    )
    assert query(spring.folder, waiting) == [(1,)]


def test_some_members_read_their_thermometers_and_one_figure_is_set_aside(spring: Run) -> None:
    readings = query(spring.folder, "SELECT count(*), count(DISTINCT member_id) FROM schedules_reading")
    aside = query(
        spring.folder,
        "SELECT s.quantity, d.wind_ms FROM schedules_setaside s "
        "JOIN schedules_weatherday d ON d.site_id = s.site_id AND d.day = s.day",
    )

    assert readings == [(5, 3)]
    assert aside == [("wind_ms", None)]
