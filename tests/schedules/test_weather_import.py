"""The service and the command that take weather into a site's record."""

import json
import time
from datetime import UTC, date, datetime, timedelta
from io import StringIO

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from plots.models import Site
from schedules.agronomy.climate import ClimateFault
from schedules.models import NormalMonth, SetAside, WeatherDay
from schedules.weather_csv import read_normals, read_weather
from schedules.weather_selectors import climate, monthly_normals, observed_weather
from schedules.weather_services import normals_import, weather_import
from society.models import JournalEntry, Society

pytestmark = pytest.mark.django_db

NOW = datetime(2025, 6, 1, 12, tzinfo=UTC)
HEADER = "date,tmin_c,tmax_c,rain_mm,wind_ms"
NORMALS = "month,tmin_c,tmax_c,rain_mm,wind_ms\n" + "\n".join(f"{m},{m},{m + 8},50,3" for m in range(1, 13))
BAD_FILE = """date,tmin,tmax_c,rain_mm
2024-02-28,1,7,0
2024-02-30,1,7,0
2024-03-01,9,3,0
2024-03-02,mild,7,0
"""


def site_called(name: str, slug: str) -> Site:
    society = Society.objects.first() or Society.objects.create(name="Fennel Lane Society")
    return Site.objects.create(
        society=society, name=name, slug=slug, latitude=52.0, longitude=0.0, zone="Europe/London"
    )


@pytest.fixture
def site() -> Site:
    return site_called("Fennel Lane", "fennel-lane")


def take(site: Site, *rows: str, skip_bad: bool = False, dry_run: bool = False, header: str = HEADER):
    file = read_weather("\n".join([header, *rows]))
    return weather_import(site=site, file=file, skip_bad=skip_bad, now=NOW, dry_run=dry_run)


def stored(day: date) -> tuple:
    return WeatherDay.objects.values_list("tmin_c", "tmax_c", "rain_mm", "wind_ms").get(day=day)


def run(path, *options: str) -> str:
    out = StringIO()
    call_command("weather_import", str(path), "--site", "fennel-lane", *options, stdout=out)
    return out.getvalue()


def refused(path, *options: str) -> tuple[str, CommandError]:
    out = StringIO()
    with pytest.raises(CommandError) as caught:
        call_command("weather_import", str(path), "--site", "fennel-lane", *options, stdout=out)
    return out.getvalue(), caught.value


@pytest.fixture
def written(tmp_path, site):
    def write(text: str | bytes):
        path = tmp_path / "weather.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write


def test_good_rows_are_added(site):
    outcome = take(site, "2024-01-01,1,2,3,4", "2024-01-02,,5,,")
    assert (outcome.added, outcome.is_saved) == (2, True)
    assert stored(date(2024, 1, 2)) == (None, 5, None, None)


def test_a_fault_keeps_the_whole_file_out(site):
    outcome = take(site, "2024-01-01,1,2,3,4", "2024-02-30,1,2,3,4")
    assert (outcome.added, outcome.is_saved, WeatherDay.objects.count()) == (1, False, 0)


def test_skip_bad_takes_the_good_rows_and_lists_the_rest(site):
    outcome = take(site, "2024-01-01,1,2,3,4", "2024-02-30,1,2,3,4", skip_bad=True)
    assert ([fault.line for fault in outcome.faults], outcome.is_saved) == ([3], True)
    assert WeatherDay.objects.get().day == date(2024, 1, 1)


def test_skip_bad_saves_nothing_when_the_header_is_at_fault(site):
    outcome = take(site, "2024-01-01,1,2", header="date,tmin,tmax_c", skip_bad=True)
    assert (outcome.is_saved, WeatherDay.objects.count()) == (False, 0)


def test_importing_twice_changes_nothing(site):
    take(site, "2024-01-01,1.1,2.2,3.3,4.4")
    before = list(WeatherDay.objects.values())
    outcome = take(site, "2024-01-01,1.1,2.2,3.3,4.4")
    assert (outcome.added, outcome.changed, outcome.unchanged) == (0, 0, 1)
    assert list(WeatherDay.objects.values()) == before
    assert JournalEntry.objects.count() == 1


def test_a_corrected_value_is_updated_and_counted(site):
    take(site, "2024-01-01,1,2,3,4", "2024-01-02,1,2,3,4")
    outcome = take(site, "2024-01-01,1,2.5,3,4", "2024-01-02,1,2,3,4")
    assert (outcome.added, outcome.changed, outcome.unchanged) == (0, 1, 1)
    assert stored(date(2024, 1, 1)) == (1, 2.5, 3, 4)


def test_an_empty_cell_leaves_the_stored_value(site):
    take(site, "2024-01-01,1,2,3,4")
    take(site, "2024-01-01,0,2", header="date,tmin_c,tmax_c")
    assert stored(date(2024, 1, 1)) == (0, 2, 3, 4)


def test_a_row_that_contradicts_the_record_is_refused_by_line(site):
    take(site, "2024-01-01,10,12,,")
    (fault,) = take(site, "2024-01-01,,5,,").faults
    assert (fault.line, "minimum 10 °C is above the maximum 5 °C" in fault.reason) == (2, True)
    assert stored(date(2024, 1, 1))[1] == 12


def test_a_day_still_to_come_is_refused(site):
    (fault,) = take(site, "2025-06-01,1,2,,", "2025-06-02,1,2,,").faults
    assert (fault.line, fault.column) == (3, "date")


def test_today_is_the_day_at_the_site(site):
    site.zone = "Pacific/Auckland"
    assert take(site, "2025-06-02,1,2,,").faults == ()


def test_a_dry_run_counts_and_saves_nothing(site):
    outcome = take(site, "2024-01-01,1,2,3,4", dry_run=True)
    assert (outcome.added, outcome.is_saved, WeatherDay.objects.count()) == (1, False, 0)


def test_a_thermometer_reading_survives_the_import(site):
    WeatherDay.objects.create(site=site, day=date(2024, 1, 1), soil_c=6.5)
    assert take(site, "2024-01-01,1,2,3,4").changed == 1
    assert WeatherDay.objects.get().soil_c == 6.5


def test_a_forecast_of_the_same_day_is_left_alone(site):
    WeatherDay.objects.create(site=site, day=date(2024, 1, 1), kind="forecast", tmin_c=9, tmax_c=9)
    assert take(site, "2024-01-01,1,2,,").added == 1
    assert WeatherDay.objects.get(kind="forecast").tmin_c == 9


def test_another_site_is_left_alone(site):
    other = site_called("Mill Bank", "mill-bank")
    take(other, "2024-01-01,5,6,,")
    take(site, "2024-01-01,1,2,,")
    assert WeatherDay.objects.get(site=other).tmin_c == 5


def test_the_import_stands_in_the_journal(site):
    take(site, "2024-01-01,1,2,3,4")
    entry = JournalEntry.objects.get()
    assert (entry.action, entry.subject_id, entry.values["added"]) == ("weather.imported", str(site.pk), 1)


def test_5000_rows_take_no_more_than_3_seconds(site):
    rows = [f"{date(2000, 1, 1) + timedelta(days=n)},1,2,3,4" for n in range(5000)]
    began = time.perf_counter()
    take(site, *rows)
    took = time.perf_counter() - began
    print(f"5000 rows in {took:.2f} s")
    assert (WeatherDay.objects.count(), took <= 3) == (5000, True)


def test_normals_are_added_once_and_corrected_later(site):
    assert normals_import(site=site, file=read_normals(NORMALS), now=NOW).added == 12
    assert normals_import(site=site, file=read_normals(NORMALS), now=NOW).unchanged == 12
    changed = normals_import(site=site, file=read_normals(NORMALS.replace("7,7,15", "7,8,15")), now=NOW)
    assert (changed.changed, NormalMonth.objects.get(month=7).tmin_c) == (1, 8)


def test_normals_with_a_fault_are_not_taken(site):
    outcome = normals_import(site=site, file=read_normals(NORMALS.replace("7,7,15", "7,,15")), now=NOW)
    assert (outcome.is_saved, NormalMonth.objects.count()) == (False, 0)


def test_observed_weather_keeps_gaps_and_leaves_forecasts_out(site):
    take(site, "2024-01-01,1,2,,", "2024-01-03,3,4,,")
    WeatherDay.objects.create(site=site, day=date(2024, 1, 2), kind="forecast", tmin_c=9, tmax_c=9)
    days = observed_weather(site)
    assert days is not None
    np.testing.assert_array_equal(days.tmin_c, [1, np.nan, 3])


def test_observed_weather_may_stop_before_a_day(site):
    take(site, "2024-01-01,1,2,,", "2024-01-03,3,4,,")
    days = observed_weather(site, before=date(2024, 1, 3))
    assert days is not None
    assert days.tmin_c.size == 1


def test_a_site_without_weather_has_none(site):
    assert (observed_weather(site), monthly_normals(site)) == (None, None)


def test_eleven_months_are_no_normals(site):
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    NormalMonth.objects.get(month=7).delete()
    assert monthly_normals(site) is None


def test_the_climate_joins_observed_days_to_normals(site):
    normals_import(site=site, file=read_normals(NORMALS), now=NOW)
    take(site, "2024-01-01,-3,1,,")
    weather = climate(site, today=date(2024, 1, 2), first=date(2024, 1, 1), days=30)
    assert (set(weather.tmin_c[:, 0]), weather.observed_until) == ({-3.0}, date(2024, 1, 1))


def test_a_site_without_any_weather_has_no_climate(site):
    with pytest.raises(ClimateFault):
        climate(site, today=date(2024, 1, 2), first=date(2024, 1, 1), days=30)


def test_the_command_names_every_fault_and_saves_nothing(written):
    report, error = refused(written(BAD_FILE))
    places = [line.split(":")[0] for line in report.splitlines()]
    assert places[:4] == [
        "line 1, tmin", "line 3, date “2024-02-30”", "line 4, tmin “9”", "line 5, tmin “mild”",
    ]  # fmt: skip
    assert "Name the column tmin_c or tmin_f." in report
    assert (error.returncode, str(error)) == (1, "4 faults; nothing was saved. Correct the file.")
    assert WeatherDay.objects.count() == 0


def test_the_command_saves_good_rows_with_skip_bad_and_still_fails(written):
    report, error = refused(written(BAD_FILE.replace("tmin,", "tmin_c,")), "--skip-bad")
    assert ("1 new, 0 changed, 0 unchanged" in report, error.returncode) == (True, 1)
    assert WeatherDay.objects.get().day == date(2024, 2, 28)


def test_the_command_succeeds_and_counts(written):
    path = written(f"{HEADER},sky\n2024-01-01,1,2,3,4,dull\n")
    assert run(path) == "Columns not used: sky.\nFennel Lane: days saved: 1 new, 0 changed, 0 unchanged.\n"
    assert "0 new, 0 changed, 1 unchanged" in run(path)


def test_the_command_knows_normals_by_their_header(written):
    assert "normals saved: 12 new" in run(written(NORMALS))


def test_the_normals_option_refuses_a_file_of_days(written):
    report, _error = refused(written(f"{HEADER}\n2024-01-01,1,2,3,4\n"), "--normals")
    assert report.startswith("line 1, month: There is no month column.")


def test_a_dry_run_of_the_command_saves_nothing(written):
    report = run(written(f"{HEADER}\n2024-01-01,1,2,3,4\n"), "--dry-run")
    assert "days good, not saved: 1 new" in report
    assert WeatherDay.objects.count() == 0


def test_the_report_can_be_json(written):
    report, _error = refused(written(BAD_FILE), "--json")
    data = json.loads(report)
    assert ([fault["line"] for fault in data["faults"]], data["is_saved"]) == ([1, 3, 4, 5], False)
    assert set(data["faults"][0]) == {"line", "column", "value", "reason", "remedy"}


@pytest.mark.parametrize("wanted", ["fennel-lane", "Fennel Lane", "fennel lane"])
def test_the_site_goes_by_slug_or_name(written, wanted):
    out = StringIO()
    path = written(f"{HEADER}\n2024-01-01,1,2,3,4\n")
    call_command("weather_import", str(path), "--site", wanted, stdout=out)
    assert "1 new" in out.getvalue()


def test_an_unknown_site_lists_the_sites(written):
    site_called("Mill Bank", "mill-bank")
    with pytest.raises(CommandError, match=r"fennel-lane \(Fennel Lane\), mill-bank \(Mill Bank\)"):
        call_command("weather_import", str(written(HEADER)), "--site", "nowhere")


def test_a_name_that_two_sites_share_is_not_guessed(written):
    site_called("Fennel Lane", "fennel-lane-2")
    with pytest.raises(CommandError, match="more than one site"):
        call_command("weather_import", str(written(HEADER)), "--site", "Fennel Lane")


def test_a_server_without_sites_says_so(tmp_path):
    with pytest.raises(CommandError, match="no site yet"):
        call_command("weather_import", str(tmp_path), "--site", "nowhere")


def test_a_folder_is_not_a_file(site, tmp_path):
    assert "is a folder" in str(refused(tmp_path)[1])


def test_a_missing_file_is_named(site, tmp_path):
    assert "there is no file" in str(refused(tmp_path / "gone.csv")[1])


def test_an_unreadable_encoding_says_what_to_do(written):
    error = refused(written(HEADER.encode("utf-16")))[1]
    assert "Save the file as CSV in UTF-8" in str(error)


def test_a_huge_file_is_not_read(written):
    assert "larger than 40 MB" in str(refused(written(b"x" * 40_000_001))[1])


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
