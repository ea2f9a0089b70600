"""The day note: what cannot wait, once a day, outside quiet hours, and a second time only for a frost."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail

from plots.models import Site, Sowing
from schedules import deliveries
from schedules.models import Delivery, ForecastHour, ForecastState, Job, Outlook
from tests import factories
from tests.letters_out import send_what_is_due

pytestmark = pytest.mark.django_db

SINCE = date(2020, 1, 1)
TODAY = date(2027, 4, 15)  # a Thursday: no other letter falls due
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
MIDNIGHT = datetime(2027, 4, 15, tzinfo=UTC)
TWO_O_CLOCK = MIDNIGHT + 13 * HOUR  # British Summer Time
State = Delivery.State
QUERIES_OF_A_LOOK, QUERIES_BETWEEN_LOOKS = 39, 16


@pytest.fixture(autouse=True)
def april(settings: Any) -> Iterator[None]:
    settings.FORECAST_CONTACT = "growers@alderlane.example"
    with time_machine.travel(TWO_O_CLOCK, tick=False):
        yield


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE)


def forecast(
    site: Site,
    *,
    air_c: Callable[[datetime], float] = lambda at: 9.0,
    wind_ms: float = 6.0,
    fetched_at: datetime = TWO_O_CLOCK - HOUR,
) -> None:
    """A forecast of two days; windy unless said otherwise, so that no evening is good to thin."""
    ForecastHour.objects.filter(site=site).delete()
    ForecastHour.objects.bulk_create(
        ForecastHour(site=site, at=at, air_c=air_c(at), wind_ms=wind_ms, rain_mm=0.0, humidity_pct=80)
        for at in (MIDNIGHT + number * HOUR for number in range(72))
    )
    fields = {"state": "good", "fetched_at": fetched_at, "expires_at": fetched_at + 24 * HOUR}
    ForecastState.objects.update_or_create(site=site, defaults=fields)


def frosty(at: datetime) -> float:
    """Three below nought at five each morning, British Summer Time."""
    return -3.0 if at.hour == 4 else 6.0


def standing(bed: Any, crop: str = "french-bean", *, up_on: date = date(2027, 4, 1)) -> Sowing:
    row = factories.make_sowing(bed, crop, season=2027, state="sown", sown_on=date(2027, 3, 20))
    Outlook.objects.create(
        sowing=row, shows_from=up_on, shows_best=up_on, shows_by=up_on, worked_out_at=TWO_O_CLOCK
    )
    return row


def job(bed: Any, kind: str, crop: str = "carrot-early", *, start_on: date = TODAY, **fields: Any) -> Job:
    return factories.make_job(standing(bed, crop), kind, start_on=start_on, **fields)


def covering(bed: Any, **fields: Any) -> Job:
    """A cover that is to be on within two days."""
    return job(bed, "cover", start_on=TODAY - 2 * DAY, rule="cover_until_gone", **fields)


def plan(now: datetime = TWO_O_CLOCK) -> int:
    return deliveries.deliveries_plan(now=now)


def notes(member: Any) -> list[Delivery]:
    return list(Delivery.objects.filter(member=member, kind="day_note").order_by("pk"))


def note_at(cast: factories.Cast, now: datetime = TWO_O_CLOCK) -> mail.EmailMessage | None:
    """Ana's note that goes out now, if one does."""
    Delivery.objects.exclude(kind="day_note", member=cast.ana).filter(state=State.DUE).delete()
    sent = send_what_is_due(now)
    return sent[-1] if sent else None


def words(message: mail.EmailMessage | None) -> str:
    assert message is not None
    return " ".join(str(message.body).split())


# What is worth a note


def test_frost_over_tender_crops_is_told_in_the_afternoon(cast: factories.Cast) -> None:
    standing(cast.bed)
    forecast(cast.site, air_c=frosty)
    assert plan(TWO_O_CLOCK - timedelta(seconds=1)) == 0
    assert plan() == 2  # Ana, who holds the plot, and Ben, who helps on it
    sent = note_at(cast)
    assert sent is not None
    assert sent.subject == "Frost may come tonight: cover French beans before dark"
    assert "Cover before dark Down to -3 °C: " in words(sent)
    assert "French beans Plot 7, bed 1" in words(sent)
    assert "MET Norway" in words(sent)


def test_what_is_under_a_cover_is_to_stay_there(cast: factories.Cast) -> None:
    Sowing.objects.filter(pk=standing(cast.bed).pk).update(cover="clear")
    forecast(cast.site, air_c=frosty)
    plan()
    assert "under a cover already: keep it on" in words(note_at(cast))


def test_roots_ready_to_lift_are_told_before_a_hard_frost(cast: factories.Cast) -> None:
    job(cast.bed, "lift", "celeriac")
    forecast(cast.site, air_c=frosty)
    plan()
    text = words(note_at(cast))
    assert "eleriac Plot 7, bed 1" in text
    assert "before dark" in text


def test_a_mild_night_is_no_reason(cast: factories.Cast) -> None:
    standing(cast.bed)
    forecast(cast.site)
    assert plan() == 0


def test_without_a_forecast_no_night_is_told(cast: factories.Cast, settings: Any) -> None:
    settings.FORECAST_CONTACT = ""
    standing(cast.bed)
    job(cast.bed, "thin")
    forecast(cast.site, air_c=frosty, wind_ms=0.5)
    assert plan() == 0


def test_a_good_evening_is_told_to_those_whose_thinning_is_open(cast: factories.Cast) -> None:
    job(cast.bed, "thin", values={"spacing_mm": 25}, cautions=["sap"])
    cast.site.insects = []
    cast.site.save()
    forecast(cast.site, wind_ms=0.5)
    plan()
    sent = note_at(cast)
    assert sent is not None
    assert sent.subject == "A good evening to thin carrot (early)"
    assert "should be still and dry" in words(sent)
    assert "Thin carrot (early) to 25 mm Plot 7, bed 1 Take care:" in words(sent)


def test_a_windy_evening_is_no_reason(cast: factories.Cast) -> None:
    job(cast.bed, "thin")
    forecast(cast.site)
    assert plan() == 0


def test_a_fly_over_an_uncovered_sowing_is_told(cast: factories.Cast) -> None:
    covering(cast.bed, cautions=["netting"])
    plan()
    sent = note_at(cast)
    assert sent is not None
    assert sent.subject == "Cover carrot (early): the fly is expected"
    assert "Take care:" in words(sent)
    assert "MET Norway" not in words(sent)


def test_a_fly_that_is_far_off_waits_for_the_weekly_letter(cast: factories.Cast) -> None:
    job(cast.bed, "cover", start_on=TODAY)
    assert plan() == 0


def test_rows_that_nobody_saw_come_up_are_asked_about(cast: factories.Cast) -> None:
    job(cast.bed, "showing", start_on=TODAY - DAY)
    plan()
    sent = note_at(cast)
    assert sent is not None
    assert sent.subject == "Are the rows of carrot (early) up?"


def test_several_things_make_one_note(cast: factories.Cast) -> None:
    standing(cast.bed)
    covering(cast.bed)
    forecast(cast.site, air_c=frosty)
    plan()
    sent = note_at(cast)
    assert sent is not None
    assert sent.subject.endswith("before dark, and one more thing that cannot wait")
    assert words(sent).index("Cover before dark") < words(sent).index("Cover against the fly")


def test_a_note_is_in_the_readers_units(cast: factories.Cast) -> None:
    type(cast.ana).objects.filter(pk=cast.ana.pk).update(units="imperial")
    standing(cast.bed)
    forecast(cast.site, air_c=frosty)
    plan()
    text = words(note_at(cast))
    assert "27 °F" in text
    assert "°C" not in text


# Once a day


def test_looking_again_writes_no_second_note(cast: factories.Cast) -> None:
    covering(cast.bed)
    assert [plan(), plan(), plan(TWO_O_CLOCK + 3 * HOUR)] == [2, 0, 0]


def test_what_was_told_is_not_told_again_the_next_day(cast: factories.Cast) -> None:
    covering(cast.bed)
    plan()
    note_at(cast)
    plan(TWO_O_CLOCK + DAY)
    assert len(notes(cast.ana)) == 1


def test_a_frost_is_told_again_the_next_night(cast: factories.Cast) -> None:
    standing(cast.bed)
    forecast(cast.site, air_c=frosty)
    plan()
    note_at(cast)
    with time_machine.travel(TWO_O_CLOCK + DAY, tick=False):
        plan(TWO_O_CLOCK + DAY)
        assert "Cover before dark" in words(note_at(cast, TWO_O_CLOCK + DAY))


def test_a_good_evening_is_told_again_only_after_some_days(cast: factories.Cast) -> None:
    job(cast.bed, "thin")
    cast.site.insects = []
    cast.site.save()
    forecast(cast.site, wind_ms=0.5)
    plan()
    note_at(cast)
    for days, count in ((1, 1), (2, 1)):
        plan(TWO_O_CLOCK + days * DAY)
        assert len(notes(cast.ana)) == count


def test_only_a_frost_adds_a_second_note_and_it_follows_the_first(cast: factories.Cast) -> None:
    covering(cast.bed)
    plan()
    first = note_at(cast)
    later = TWO_O_CLOCK + 4 * HOUR
    job(cast.bed, "showing", start_on=TODAY - 3 * DAY)
    forecast(cast.site, fetched_at=later - HOUR)
    plan(later)
    assert len(notes(cast.ana)) == 1
    standing(cast.bed)
    forecast(cast.site, air_c=frosty, fetched_at=later + timedelta(seconds=30))
    plan(later + timedelta(minutes=1))
    assert [row.subject_key for row in notes(cast.ana)] == ["note", "frost"]
    second = note_at(cast, later + timedelta(minutes=1))
    assert first is not None
    assert second is not None
    assert second.extra_headers["References"] == first.extra_headers["Message-ID"]
    assert "Look whether the rows are up" not in words(second)


def test_a_frost_that_the_waiting_note_will_tell_makes_no_second(cast: factories.Cast) -> None:
    covering(cast.bed)
    plan()
    standing(cast.bed)
    forecast(cast.site, air_c=frosty, fetched_at=TWO_O_CLOCK + HOUR)
    plan(TWO_O_CLOCK + 2 * HOUR)
    assert len(notes(cast.ana)) == 1
    assert "Frost may come tonight" in str(getattr(note_at(cast, TWO_O_CLOCK + 2 * HOUR), "subject", ""))


# Quiet hours, and being late


def test_what_comes_up_in_quiet_hours_waits_until_they_end(cast: factories.Cast) -> None:
    factories.make_preference(cast.ana, quiet_from=12, quiet_until=16)
    covering(cast.bed)
    plan()
    [row] = notes(cast.ana)
    assert row.due_at == TWO_O_CLOCK
    assert row.not_before == TWO_O_CLOCK + 2 * HOUR
    assert note_at(cast) is None


def test_what_is_late_for_another_reason_wakes_nobody_either(cast: factories.Cast) -> None:
    """Held up until ten at night, as by a mail server that is down, it waits for the end of quiet hours."""
    covering(cast.bed)
    plan()
    late = MIDNIGHT + 21 * HOUR
    assert note_at(cast, late) is None
    [row] = notes(cast.ana)
    assert (row.state, row.not_before, row.attempts) == (State.DUE, MIDNIGHT + 30 * HOUR, 0)
    assert "quiet hours" in row.steps.last().note


def test_a_frost_note_after_sunrise_is_missed_and_not_sent(cast: factories.Cast) -> None:
    """The sun rises at 06:15 British Summer Time; the quiet hours end at seven."""
    factories.make_preference(cast.ana, quiet_from=13, quiet_until=7)
    standing(cast.bed)
    forecast(cast.site, air_c=frosty)
    plan()
    morning = MIDNIGHT + 30 * HOUR
    assert notes(cast.ana)[0].not_before == morning
    assert note_at(cast, morning) is None
    [row] = notes(cast.ana)
    assert (row.state, row.last_error) == (State.MISSED, "the night that it was about is over")


def test_a_frost_note_before_sunrise_is_sent(cast: factories.Cast) -> None:
    factories.make_preference(cast.ana, quiet_from=13, quiet_until=5)
    standing(cast.bed)
    forecast(cast.site, air_c=frosty)
    plan()
    assert "Cover before dark" in words(note_at(cast, MIDNIGHT + 28 * HOUR))


def test_a_good_evening_is_not_told_once_the_sun_is_down(cast: factories.Cast) -> None:
    job(cast.bed, "thin")
    cast.site.insects = []
    cast.site.save()
    forecast(cast.site, wind_ms=0.5)
    plan()
    assert note_at(cast, MIDNIGHT + 20 * HOUR) is None
    assert notes(cast.ana)[0].last_error == "nothing of it cannot wait any more"


def test_what_was_done_meanwhile_is_not_told(cast: factories.Cast) -> None:
    covering(cast.bed)
    plan()
    Job.objects.update(state="done", done_on=TODAY)
    assert note_at(cast) is None


def test_who_wants_no_day_notes_gets_none(cast: factories.Cast) -> None:
    factories.make_preference(cast.ana, day_notes=False)
    covering(cast.bed)
    plan()
    assert notes(cast.ana) == []


def test_a_wish_withdrawn_before_it_is_written_counts(cast: factories.Cast) -> None:
    covering(cast.bed)
    plan()
    factories.make_preference(cast.ana, day_notes=False)
    assert note_at(cast) is None


# Whoever stands in


def test_a_note_goes_to_whoever_stands_in_and_heeds_their_quiet_hours(cast: factories.Cast) -> None:
    factories.make_preference(cast.dee, quiet_from=13, quiet_until=18)
    factories.make_absence(
        cast.ana, cast.dee, since=TODAY, until=TODAY + DAY, accepted_at=TWO_O_CLOCK - 9 * DAY
    )
    covering(cast.bed)
    plan()
    six = TWO_O_CLOCK + 4 * HOUR
    assert notes(cast.ana)[0].not_before == six
    sent = note_at(cast, six)
    assert sent is not None
    assert sent.to == [cast.dee.email]
    assert sent.subject == "For Ana Orchard: cover carrot (early): the fly is expected"


# The south, and two sites


def test_a_southern_site_goes_by_its_own_afternoon(cast: factories.Cast) -> None:
    far = factories.make_site(
        cast.society, name="Withy Lane", latitude=-37.0, longitude=145.0, zone="Australia/Melbourne"
    )
    plot = factories.make_plot(far, "3", laid_out_on=SINCE)
    factories.make_tenancy(plot, cast.dee, since=SINCE)
    covering(factories.make_bed(plot, since=SINCE))
    two_in_melbourne = datetime(2027, 4, 15, 4, tzinfo=UTC)
    assert plan(two_in_melbourne - timedelta(minutes=1)) == 0
    assert plan(two_in_melbourne) == 1
    assert notes(cast.dee)[0].local_date == TODAY


def test_a_member_of_two_sites_reads_which_is_meant(cast: factories.Cast) -> None:
    far = factories.make_site(cast.society, name="Withy Lane")
    plot = factories.make_plot(far, "3", laid_out_on=SINCE)
    factories.make_tenancy(plot, cast.ana, since=SINCE)
    covering(factories.make_bed(plot, "long bed", since=SINCE))
    covering(cast.bed)
    plan()
    assert len(notes(cast.ana)) == 1
    text = words(note_at(cast))
    assert "Plot 3, long bed, Withy Lane" in text
    assert "Plot 7, bed 1, Alder Lane" in text


def test_a_note_of_the_east_says_nothing_of_tomorrow_night_in_the_west(cast: factories.Cast) -> None:
    """Two in the afternoon of the 16th in Auckland is half past eleven at night on the 15th in St John's."""
    places = {"Auckland": (-36.8, 174.7, "Pacific/Auckland"), "St John's": (47.6, -52.7, "America/St_Johns")}
    for name, (latitude, longitude, zone) in places.items():
        site = factories.make_site(
            cast.society, name=name, latitude=latitude, longitude=longitude, zone=zone, slug=name[:2].lower()
        )
        plot = factories.make_plot(site, "3", laid_out_on=SINCE)
        factories.make_tenancy(plot, cast.dee, since=SINCE)
        standing(factories.make_bed(plot, since=SINCE))
        forecast(site, air_c=lambda at: -3.0)
    factories.make_preference(cast.dee, zone="Pacific/Auckland")
    now = MIDNIGHT + 26 * HOUR
    plan(now)
    Delivery.objects.exclude(member=cast.dee, local_date=TODAY + DAY).delete()
    text = words(send_what_is_due(now)[-1])
    assert "Plot 3, bed 1, Auckland" in text
    assert "St John's" not in text


@pytest.mark.parametrize("more", [0, 30])
def test_planning_asks_no_more_for_many_members(
    cast: factories.Cast, django_assert_num_queries: Callable[[int], Any], more: int
) -> None:
    for number in range(more):
        member = factories.make_member(cast.society, f"Member{number} Row", joined_on=SINCE)
        factories.make_co_worker(cast.plot, member, since=SINCE)
    covering(cast.bed)
    forecast(cast.site, air_c=frosty)
    with django_assert_num_queries(QUERIES_OF_A_LOOK):
        assert plan() == 2 + more
    with django_assert_num_queries(QUERIES_BETWEEN_LOOKS):
        assert plan() == 0
