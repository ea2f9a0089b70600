"""What a weather file says that is not believed: set aside, refused by its unit, and the gaps it leaves."""

import json
from datetime import date, timedelta

import pytest

from schedules.models import SetAside, WeatherDay
from schedules.weather_csv import read_normals
from schedules.weather_selectors import climate
from schedules.weather_services import normals_import
from society.models import JournalEntry
from tests.schedules.weather.files import (
    HEADER,
    NORMALS,
    NOW,
    refused,
    run,
    stored,
    take,
)

pytestmark = pytest.mark.django_db


WARM_DAYS = [f"2024-07-{day:02},12,22,0,3" for day in range(1, 32)]


def july(**changed):
    return [changed.get(f"d{day}", row) for day, row in enumerate(WARM_DAYS, start=1)]


def test_an_impossible_value_is_set_aside_and_the_rest_of_its_row_saved(site):
    outcome = take(site, *july(d18="2024-07-18,-72,22,1.5,3"))
    assert (outcome.is_saved, outcome.added, len(outcome.set_aside)) == (True, 31, 1)
    assert stored(date(2024, 7, 18)) == (None, 22, 1.5, 3)
    kept = SetAside.objects.get()
    assert (kept.day, kept.quantity, kept.value, kept.rule, kept.made_at) == (
        date(2024, 7, 18), "tmin_c", -72, "under_the_possible", NOW,
    )  # fmt: skip
    assert kept.values == {"limit": -60}
    assert JournalEntry.objects.get().values["set_aside"] == 1


def test_a_value_far_from_the_normals_is_set_aside(site):
    """-72 °F is -57.8 °C: possible somewhere, never in July at this site."""
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    rows = ["2024-07-17,46,60", "2024-07-18,-72,60", "2024-07-19,46,60"]
    outcome = take(site, *rows, header="date,tmin_f,tmax_f")
    assert [(each.day, each.rule) for each in outcome.set_aside] == [(date(2024, 7, 18), "far_from_usual")]
    assert stored(date(2024, 7, 18))[0] is None


def test_importing_what_was_set_aside_twice_is_no_news(site):
    for _ in range(2):
        outcome = take(site, *july(d18="2024-07-18,-72,22,1.5,3"))
    assert (outcome.added, outcome.changed, outcome.unchanged) == (0, 0, 31)
    assert (SetAside.objects.count(), JournalEntry.objects.count()) == (1, 1)


def test_a_corrected_value_ends_what_was_set_aside(site):
    take(site, *july(d18="2024-07-18,-72,22,-1,3"))
    take(site, "2024-07-18,11,22,,")
    assert stored(date(2024, 7, 18)) == (11, 22, None, 3)
    assert [each.quantity for each in SetAside.objects.all()] == ["rain_mm"]


def test_a_believed_value_is_not_lost_to_one_set_aside(site):
    take(site, "2024-07-18,11,22,,")
    take(site, "2024-07-18,-72,22,,")
    assert stored(date(2024, 7, 18))[0] == 11


def test_the_same_value_stored_before_becomes_a_gap(site):
    WeatherDay.objects.create(site=site, day=date(2024, 7, 18), tmin_c=-72, tmax_c=22)
    take(site, "2024-07-18,-72,22,,")
    assert stored(date(2024, 7, 18)) == (None, 22, None, None)


def test_a_day_with_nothing_believed_stays_a_gap(site):
    outcome = take(site, "2024-07-18,-72,,,", "2024-07-19,11,22,,")
    assert (outcome.added, WeatherDay.objects.get().day) == (1, date(2024, 7, 19))
    assert SetAside.objects.count() == 1


def test_a_dry_run_sets_nothing_aside(site):
    outcome = take(site, "2024-07-18,-72,22,,", dry_run=True)
    assert (len(outcome.set_aside), SetAside.objects.count()) == (1, 0)


def fahrenheit_called_celsius() -> str:
    lows = [40 + each % 7 + each // 16 for each in range(330)]
    days = [date(2024, 1, 1) + timedelta(days=each) for each in range(330)]
    rows = [f"{day},{low},{low + 10},0,3" for day, low in zip(days, lows, strict=True)]
    return "\n".join([HEADER, *rows])


def test_a_file_in_fahrenheit_called_celsius_is_refused_with_the_remedy(written):
    _report, error = refused(written(fahrenheit_called_celsius()))
    assert str(error).startswith("Nothing was saved. The temperatures look to be °F")
    assert "tmin_f and tmax_f" in str(error)
    assert (WeatherDay.objects.count(), SetAside.objects.count(), error.returncode) == (0, 0, 1)


def test_skip_bad_does_not_take_the_wrong_unit(written):
    refused(written(fahrenheit_called_celsius()), "--skip-bad")
    assert WeatherDay.objects.count() == 0


def test_named_by_its_unit_the_same_file_is_taken(written):
    text = fahrenheit_called_celsius().replace(HEADER, "date,tmin_f,tmax_f,rain_mm,wind_ms")
    assert "330 new" in run(written(text))


def test_somebody_who_looked_may_insist_on_the_unit(written):
    report = run(written(fahrenheit_called_celsius()), "--unit-is-right")
    assert "days saved" in report
    assert WeatherDay.objects.exists()


def test_celsius_called_fahrenheit_is_found_out_by_the_normals(written, site):
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    text = "\n".join(["date,tmin_f,tmax_f", *(f"2024-07-{day:02},7,15" for day in range(1, 31))])
    _report, error = refused(written(text))
    assert "look to be °C, while the headings say °F" in str(error)


def test_the_command_names_what_it_set_aside(written):
    report = run(written("\n".join([HEADER, *july(d18="2024-07-18,-72,22,1.5,3")])))
    assert "2024-07-18, minimum -72 °C: Nothing under -60 °C is believed. It is left out." in report
    assert "1 reading set aside; the rest of each day is good." in report


def test_the_command_names_the_first_of_many(written):
    report = run(written("\n".join([HEADER, *[row.replace(",0,3", ",-1,3") for row in WARM_DAYS]])))
    assert "And 11 more; all are kept with the site." in report
    assert "31 readings set aside" in report


def test_what_was_set_aside_stands_in_the_json_report(written):
    report = json.loads(run(written("\n".join([HEADER, *july(d18="2024-07-18,-72,22,1.5,3")])), "--json"))
    (aside,) = report["set_aside"]
    assert (aside["day"], aside["quantity"], aside["rule"]) == ("2024-07-18", "tmin_c", "under_the_possible")


def test_a_file_of_ghcn_is_known_by_its_shape(written):
    lines = [
        f"XXE00000001,202407{day:02},{element},{value},,{flag},E,"
        for day in range(1, 32)
        for element, value, flag in (
            ("TMAX", 220, ""),
            ("TMIN", 120, "I" if day == 5 else ""),
            ("SNWD", 0, ""),
        )
    ]
    report = run(written("\n".join(lines)))
    assert "days saved: 31 new" in report
    assert "Its source marks it I: it failed the check of internal consistency." in report
    assert "Columns not used: SNWD." in report
    assert stored(date(2024, 7, 5)) == (None, 22, None, None)


def test_a_forecast_is_laid_in_from_today_on(site):
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    today = date(2025, 6, 1)
    for offset in range(-1, 3):
        WeatherDay.objects.create(
            site=site, day=today + timedelta(days=offset), kind="forecast", tmin_c=1, tmax_c=2, rain_mm=9
        )
    weather = climate(site, today=today, first=today - timedelta(days=2), days=30)
    assert (weather.tmin_c[:, 2:5] == 1).all()
    assert (weather.rain_mm[:, 2:5] == 9).all()
    assert (weather.forecast_until, weather.tmin_c[4, 1] != 1) == (date(2025, 6, 3), True)


def test_a_file_of_another_place_is_a_fault_and_not_a_heap_of_bad_readings(site):
    """Normals of 7 to 15 °C in July as the own ones of the site, and a file of minus thirty."""
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    rows = [f"2024-07-{day:02},-33,-25,0,3" for day in range(1, 32)]
    outcome = take(site, *rows)
    assert [fault.reason for fault in outcome.faults] == [
        "31 of 31 days lie far outside what is known of this site."
    ]
    assert (outcome.is_saved, WeatherDay.objects.count()) == (False, 0)
    assert take(site, *rows, skip_bad=True).is_saved
    assert SetAside.objects.count() == 62


def test_nine_bad_days_are_nine_bad_days(site):
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    bad = {f"d{day}": f"2024-07-{day:02},-33,22,0,3" for day in range(1, 10)}
    outcome = take(site, *july(**bad))
    assert (outcome.faults, len(outcome.set_aside), outcome.is_saved) == ((), 9, True)


def test_gaps_that_a_file_leaves_are_named(written, site):
    days = [day for day in range(1, 32) if day not in (5, 6, *range(12, 24), 28)]
    report = run(written("\n".join([HEADER, *[WARM_DAYS[day - 1] for day in days]])))
    assert "2024-07-05 to 2024-07-06: 2 days without both temperatures; this is bridged in plans." in report
    assert "2024-07-12 to 2024-07-23: 12 days without both temperatures; this stays a gap" in report
    assert "2024-07-28: 1 day without both temperatures; this is bridged in plans." in report


def test_a_gap_that_the_record_fills_already_is_none(site):
    take(site, *july())
    outcome = take(site, "2024-07-01,12,22,0,3", "2024-07-31,12,22,0,3")
    assert outcome.gaps == ()


def test_a_reading_set_aside_leaves_a_gap_of_a_day(site):
    (gap,) = take(site, *july(d18="2024-07-18,-72,22,1.5,3")).gaps
    assert (gap.first, gap.last, gap.days) == (date(2024, 7, 18), date(2024, 7, 18), 1)


def test_many_gaps_are_counted(written, site):
    rows = [f"{date(2024, 1, 1) + timedelta(days=2 * each)},5,9,0,3" for each in range(30)]
    report = run(written("\n".join([HEADER, *rows])))
    assert "And 9 more gaps." in report


def test_gaps_stand_in_the_json_report(written):
    days = [*WARM_DAYS[:4], *WARM_DAYS[6:]]
    report = json.loads(run(written("\n".join([HEADER, *days])), "--json"))
    assert report["gaps"] == [{"first": "2024-07-05", "last": "2024-07-06", "days": 2}]
