"""The service and the command that take weather into a site's record."""

import json
from datetime import date, timedelta
from io import StringIO

import numpy as np
import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from schedules.agronomy.climate import ClimateFault
from schedules.models import NormalMonth, WeatherDay
from schedules.weather_csv import read_normals
from schedules.weather_selectors import climate, monthly_normals, observed_weather
from schedules.weather_services import normals_import
from society.models import JournalEntry
from tests.schedules.weather.files import (
    BAD_FILE,
    HEADER,
    NORMALS,
    NOW,
    refused,
    run,
    site_called,
    stored,
    take,
)

pytestmark = pytest.mark.django_db


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


def test_5000_rows_are_written_in_a_few_statements(site):
    rows = [f"{date(2000, 1, 1) + timedelta(days=n)},1,2,3,4" for n in range(5000)]
    with CaptureQueriesContext(connection) as asked:
        take(site, *rows)
    assert WeatherDay.objects.count() == 5000
    assert len(asked) < 100


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
