"""The kinds and cases of letter, each written by the very code that writes it for the post."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import time_machine
from django.core.mail import EmailMultiAlternatives
from django.test import Client
from django.urls import reverse

from plots.models import CoWorker, Plot, Site, Sowing
from schedules import deliveries
from schedules.deliveries.writing import message_of
from schedules.invitation_services import invitation_make
from schedules.letter_messages import message
from schedules.models import Delivery, ForecastHour, ForecastState, Job
from schedules.notice_services import notice_change, notice_make
from schedules.offer_services import plot_offer
from schedules.plan_services import site_replan
from society.models import Account, LetterPreference, Member
from tests import factories

DAY, HOUR = timedelta(days=1), timedelta(hours=1)
Case = tuple[str, EmailMultiAlternatives]


def letters(now: datetime) -> Iterator[Case]:
    with time_machine.travel(now, tick=False):
        yield from _weekly(now)
        yield from _day_notes(now)
        yield from _of_people(now)


def paper(now: datetime) -> str:
    """The committee's page of letters for everybody without an e-mail address."""
    with time_machine.travel(now, tick=False):
        client = Client(SERVER_NAME="127.0.0.1")
        client.force_login(Account.objects.get(email="dee@sallowbend.example"))
        return client.get(reverse("letters-print")).content.decode()


def _weekly(now: datetime) -> Iterator[Case]:
    yield _case("01-weekly", _row(_named("Ana"), "weekly", "week", now), now)
    yield _case("02-weekly-imperial", _row(_named("Hal"), "weekly", "week", now), now)
    yield _case("03-weekly-stand-in", _row(_named("Quin"), "weekly", "week", now), now)
    helper = _named("Tam")
    CoWorker.objects.filter(member=helper).exclude(plot__number="2").delete()
    yield _case("04-weekly-helper", _row(helper, "weekly", "week", now), now)
    with time_machine.travel(now + 7 * DAY, tick=False):
        yield _case("05-weekly-moved", _moved(_named("Gil"), now + 7 * DAY), now + 7 * DAY)
    yield _case("06-weekly-two-sites", _two_sites(_named("Kit"), now), now)
    nobody = _named("Una")
    plot = Plot.objects.get(number="14")
    factories.make_tenancy(plot, nobody, since=now.date())
    Sowing.objects.filter(patch__plot=plot).update(state="cleared")
    LetterPreference.objects.update_or_create(member=nobody, defaults={"weekly_when_empty": True})
    yield _case("07-weekly-empty", _row(_named("Una"), "weekly", "week", now), now)


def _moved(member: Member, now: datetime) -> Delivery:
    """A week on, with three jobs that the letter of last week dated otherwise."""
    last = Delivery.objects.filter(member=member, kind="weekly").latest("local_date")
    for number, key in enumerate(list(last.told["jobs"])[:3]):
        job = Job.objects.get(key=key)
        fields: dict[str, Any] = {
            name: getattr(job, name) + (3 + 4 * number) * DAY for name in ("start_on", "best_on", "by_on")
        }
        if number == 1:
            fields["put_off_until"] = fields["start_on"]
        Job.objects.filter(pk=job.pk).update(**fields)
    return _row(member, "weekly", "week", now)


def _two_sites(member: Member, now: datetime) -> Delivery:
    """Beside the plot at home one in the south, where it is autumn."""
    far = factories.make_site(
        member.society, name="Billabong Road", latitude=-37.8, longitude=145.0, zone="Australia/Melbourne"
    )
    factories.make_normals(far)
    plot = factories.make_plot(far, "3", laid_out_on=now.date() - 400 * DAY, record_since=2025)
    factories.make_tenancy(plot, member, since=now.date() - 400 * DAY)
    bed = factories.make_bed(plot, "long bed", since=now.date() - 400 * DAY)
    sown = {"state": "sown", "sown_on": now.date() - 30 * DAY}
    factories.make_sowing(bed, "carrot-early", season=2027, **sown)
    site_replan(site=far, now=now)
    return _row(member, "weekly", "week", now)


def _day_notes(now: datetime) -> Iterator[Case]:
    site = Site.objects.get(name__startswith="Sallowbend")
    _forecast(site, now, lowest_c=-3.0, wind_ms=0.8)
    _tender(site, "2", now)
    yield _case("08-day-note-frost", _row(_named("Ana"), "day_note", "note", now), now)
    _tender(site, "5A", now)
    yield _case("09-day-note-imperial", _row(_named("Hal"), "day_note", "note", now), now)
    _forecast(site, now, lowest_c=6.0, wind_ms=0.8)
    _open_thinnings(site, ("7", "17"), now)
    yield _case("10-day-note-evening", _row(_named("Gil"), "day_note", "note", now), now)
    yield _case("11-day-note-stand-in", _row(_named("Quin"), "day_note", "note", now), now)


def _tender(site: Site, number: str, now: datetime) -> None:
    """Beans that are up, and beans under a cover, on one plot."""
    beds = Plot.objects.get(site=site, number=number).beds.all()[:2]
    for bed, cover in zip(beds, ("none", "clear"), strict=False):
        factories.make_sowing(
            bed, "french-bean", season=2027, state="sown", sown_on=now.date() - 10 * DAY, cover=cover
        )


def _open_thinnings(site: Site, numbers: tuple[str, ...], now: datetime) -> None:
    """On each plot carrots under a mesh that are to be thinned, and others, not up and not covered."""
    today = now.date()
    sown = {"season": 2027, "state": "sown", "sown_on": today - 40 * DAY}
    thinned, bare = [], []
    for number in numbers:
        first, second = Plot.objects.get(site=site, number=number).beds.all()[:2]
        thinned.append(factories.make_sowing(first, "carrot-early", cover="clear", **sown))
        bare.append(factories.make_sowing(second, "carrot-early", cover="none", **sown))
    site_replan(site=site, now=now)
    window = {"start_on": today - DAY, "best_on": today, "by_on": today + DAY}
    Job.objects.filter(sowing__in=thinned, kind="thin").update(**window)
    Job.objects.filter(sowing__in=bare, kind__in=("cover", "showing")).update(**window)


def _forecast(site: Site, now: datetime, *, lowest_c: float, wind_ms: float) -> None:
    midnight = now.replace(hour=0, minute=0)
    ForecastHour.objects.filter(site=site).delete()
    ForecastHour.objects.bulk_create(
        ForecastHour(
            site=site, at=at, air_c=lowest_c if at.hour == 4 else lowest_c + 7, wind_ms=wind_ms, rain_mm=0.0
        )
        for at in (midnight + number * HOUR for number in range(72))
    )
    fields = {"state": "good", "fetched_at": now - HOUR, "expires_at": now + 24 * HOUR}
    ForecastState.objects.update_or_create(site=site, defaults=fields)


def _of_people(now: datetime) -> Iterator[Case]:
    site = Site.objects.get(name__startswith="Sallowbend")
    today = now.date()
    notice = notice_make(
        site=site, since=today, until=today + 4 * DAY, is_public=False, is_urgent=True, account=None, now=now,
        text="The water is off from Monday noon until Tuesday evening. Fill your cans before, and water "
        "seedlings first.",
    )  # fmt: skip
    deliveries.deliveries_plan(now=now)
    yield _case("12-urgent-notice", _planned(_named("Ana"), "notice"), now)
    Delivery.objects.filter(kind="notice").update(state="sent")
    later = now + 2 * HOUR
    with time_machine.travel(later, tick=False):
        text = "The water stays on after all."
        notice_change(notice=notice, version=notice.version, text=text, account=None, now=later)
        deliveries.deliveries_plan(now=later)
        yield _case("13-notice-changed", _planned(_named("Ana"), "notice"), later)
    una = _named("Una")
    entry = una.waiting_for.first() or factories.make_waiting_entry(site, una, asked_on=today - 200 * DAY)
    plot = factories.make_plot(site, "24", laid_out_on=today - 900 * DAY)
    plot_offer(entry=entry, plot=plot, made_on=today, lapses_on=today + 6 * DAY, account=None, now=now)
    yield _case("14-offer", _planned(una, "offer"), now)
    invitation_make(member=_named("Edda"), email="edda@sallowbend.example", account=None, now=now - 9 * DAY)
    yield _case("15-invitation", _planned(_named("Edda"), "invitation"), now - 9 * DAY)
    refused = Delivery.objects.filter(kind="weekly", member=_named("Lou")).latest("pk")
    Delivery.objects.filter(pk=refused.pk).update(state="refused", last_error="550 no such mailbox here")
    yield _case("16-committee", _row(_named("Dee"), "digest", "digest", now), now)
    absence = _named("Quin").absences.latest("pk")
    for number, event, who in ((17, "accepted", "Ros"), (18, "begins", "Quin"), (19, "over", "Ros")):
        row = _row(_named(who), "stand_in", f"stand-in-{absence.pk}-{event}", now)
        yield _case(f"{number}-stand-in-{event}", row, now)


def _named(first: str) -> Member:
    return Member.objects.select_related("society", "letters_wanted").get(name__startswith=f"{first} ")


def _row(member: Member, kind: str, subject: str, now: datetime) -> Delivery:
    """A letter that falls due now; one of the same kind and day makes room."""
    Delivery.objects.filter(member=member, kind=kind, subject_key=subject, local_date=now.date()).delete()
    return factories.make_delivery(member, local_date=now.date(), kind=kind, subject_key=subject, due_at=now)


def _planned(member: Member, kind: str) -> Delivery:
    return Delivery.objects.filter(member=member, kind=kind, state="due").latest("pk")


def _case(name: str, delivery: Delivery, now: datetime) -> Case:
    """What would go out, with the secret of a link as the row keeps it."""
    written = message_of(delivery, now=now)
    return name, message(delivery, to=written.to)
