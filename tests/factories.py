"""Makers of rows for tests, and the cast that every test may name.

Ana holds plot 7, Ben shares it, Col holds plot 8, Dee sits on the committee and holds nothing.
Plain functions: a test passes in the days that matter to it and nothing else.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

from plots.models import (
    Bed,
    CoWorker,
    GroundEvent,
    GroundVerdict,
    LayoutProposal,
    OtherUse,
    Patch,
    Plot,
    PlotOffer,
    Sighting,
    Site,
    Sowing,
    Tenancy,
    TenancyHolder,
    WaitingEntry,
)
from plots.outlines import Corners, rectangle
from schedules.models import (
    Delivery,
    DeliveryStep,
    Explanation,
    Job,
    NormalMonth,
    Notice,
    Reading,
    WeatherDay,
)
from society.models import (
    Absence,
    Account,
    AccountMember,
    CommitteeSeat,
    LetterPreference,
    Member,
    Society,
)

REASON = ("rule", "values", "source", "cautions", "notes")
PASSWORD = "correct-horse-of-the-allotment"

# Monthly means of an invented, mild site: lowest and highest of the day, rain, wind.
MILD_TMIN_C = (1.5, 1.5, 2.5, 4.0, 7.0, 10.0, 12.0, 12.0, 10.0, 7.0, 4.0, 2.0)
MILD_TMAX_C = (7.0, 7.5, 10.0, 13.0, 16.5, 19.5, 22.0, 21.5, 18.5, 14.5, 10.0, 7.5)
MILD_RAIN_MM = (55, 42, 42, 45, 48, 50, 48, 55, 52, 65, 62, 58)


def instant(day: date, hour: int = 6) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def make_society(*, name: str = "Alder Lane Allotment Society", zone: str = "Europe/London") -> Society:
    return Society.objects.create(name=name, zone=zone)


def make_site(society: Society, *, name: str = "Alder Lane", **fields: Any) -> Site:
    values: dict[str, Any] = {
        "slug": name.lower().replace(" ", "-"),
        "latitude": 52.0,
        "longitude": -1.0,
        "zone": society.zone,
        **fields,
    }
    return Site.objects.create(society=society, name=name, **values)


def make_normals(site: Site) -> list[NormalMonth]:
    return NormalMonth.objects.bulk_create(
        NormalMonth(
            site=site,
            month=month + 1,
            tmin_c=MILD_TMIN_C[month],
            tmax_c=MILD_TMAX_C[month],
            rain_mm=MILD_RAIN_MM[month],
            wind_ms=4.0,
        )
        for month in range(12)
    )


def make_weather_day(site: Site, day: date, **fields: Any) -> WeatherDay:
    values: dict[str, Any] = {"tmin_c": 4.0, "tmax_c": 12.0, "rain_mm": 1.0, "wind_ms": 3.0, **fields}
    return WeatherDay.objects.create(site=site, day=day, **values)


def make_reading(site: Site, member: Member, day: date, **fields: Any) -> Reading:
    """A soil thermometer read at 10 cm, unless said otherwise."""
    values: dict[str, Any] = {
        "quantity": "soil_c", "value": 8.0, "depth_mm": 100, "made_at": instant(day, 9), **fields,
    }  # fmt: skip
    return Reading.objects.create(site=site, member=member, day=day, **values)


def make_member(
    society: Society, name: str, *, joined_on: date, email: str | None = None, **fields: Any
) -> Member:
    address = f"{name.split()[0].lower()}@alderlane.example" if email is None else email
    return Member.objects.create(society=society, name=name, email=address, joined_on=joined_on, **fields)


def make_account(*members: Member, since: date, email: str | None = None, **fields: Any) -> Account:
    """An account that acts for the members from a day; it logs in with PASSWORD."""
    account = Account.objects.create_user(email or members[0].email, PASSWORD, **fields)
    for member in members:
        AccountMember.objects.create(account=account, member=member, since=since)
    return account


def make_seat(member: Member, *, since: date, office: str = "Secretary", until: date | None = None) -> Any:
    return CommitteeSeat.objects.create(member=member, office=office, since=since, until=until)


def make_absence(member: Member, stand_in: Member, *, since: date, until: date, **fields: Any) -> Absence:
    return Absence.objects.create(member=member, stand_in=stand_in, since=since, until=until, **fields)


def make_preference(member: Member, **fields: Any) -> LetterPreference:
    return LetterPreference.objects.create(member=member, **fields)


def make_plot(
    site: Site, number: str, *, laid_out_on: date, corner: tuple[float, float] = (0.0, 0.0), **fields: Any
) -> Plot:
    """A plot of 20 m by 8 m."""
    values: dict[str, Any] = {
        "outline": rectangle(corner, length_m=20, width_m=8),
        "area_m2": 160,
        **fields,
    }
    return Plot.objects.create(site=site, number=number, laid_out_on=laid_out_on, **values)


def make_bed(
    plot: Plot, name: str = "bed 1", *, since: date, corner: tuple[float, float] = (1.0, 1.0), **fields: Any
) -> Bed:
    """A bed of 5 m by 1.2 m."""
    values: dict[str, Any] = {"outline": rectangle(corner, length_m=5, width_m=1.2), **fields}
    return Bed.objects.create(plot=plot, name=name, since=since, **values)


def make_tenancy(plot: Plot, *members: Member, since: date, until: date | None = None) -> Tenancy:
    tenancy = Tenancy.objects.create(plot=plot, since=since, until=until)
    for member in members:
        TenancyHolder.objects.create(tenancy=tenancy, member=member)
    return tenancy


def make_co_worker(plot: Plot, member: Member, *, since: date, until: date | None = None) -> CoWorker:
    return CoWorker.objects.create(plot=plot, member=member, since=since, until=until)


def make_waiting_entry(site: Site, member: Member, *, asked_on: date) -> WaitingEntry:
    return WaitingEntry.objects.create(site=site, member=member, asked_on=asked_on)


def make_offer(entry: WaitingEntry, plot: Plot, *, made_on: date, lapses_on: date) -> PlotOffer:
    return PlotOffer.objects.create(entry=entry, plot=plot, made_on=made_on, lapses_on=lapses_on)


def make_patch(bed: Bed, *, outline: Corners | None = None, **fields: Any) -> Patch:
    """A patch of a bed: the whole bed unless an outline is given."""
    return Patch.objects.create(
        site=bed.plot.site, plot=bed.plot, bed=bed, outline=outline or bed.outline, **fields
    )


def make_sowing(
    bed: Bed, crop: str = "carrot-early", *, season: int, outline: Corners | None = None, **fields: Any
) -> Sowing:
    values: dict[str, Any] = {"last_season": season, **fields}
    return Sowing.objects.create(patch=make_patch(bed, outline=outline), crop=crop, season=season, **values)


def _on_bed(bed: Bed) -> dict[str, Any]:
    return {"site": bed.plot.site, "plot": bed.plot, "bed": bed, "outline": bed.outline}


def make_ground_event(bed: Bed, kind: str, *, on: date, **fields: Any) -> GroundEvent:
    """Something done to the whole of a bed."""
    return GroundEvent.objects.create(
        **{**_on_bed(bed), "kind": kind, "on": on, "made_at": instant(on), **fields}
    )


def make_sighting(bed: Bed, problem: str, *, on: date, **fields: Any) -> Sighting:
    """A problem seen on the whole of a bed, in the season of the day's year, confirmed by nobody."""
    values = {"seen_on": on, "season": on.year, "made_at": instant(on), **fields}
    return Sighting.objects.create(**{**_on_bed(bed), "problem": problem, **values})


def make_other_use(bed: Bed, name: str, family: str, *, season: int, **fields: Any) -> OtherUse:
    """A growth on the whole of a bed in one season."""
    values = {"first_season": season, "last_season": season, "made_at": instant(date(season, 1, 1)), **fields}
    return OtherUse.objects.create(**{**_on_bed(bed), "name": name, "family": family, **values})


def make_layout(plot: Plot, *, at: datetime, **fields: Any) -> LayoutProposal:
    """A proposal that answers a question nobody asked: no beds, no wishes."""
    problem = {"pieces": [], "wishes": [], "bars": [], "under_recommended": [], "fixed": [], "likes": []}
    values: dict[str, Any] = {
        "asked_mark": "", "ground_mark": "", "cost": 0.0, "is_proven": True, "made_at": at,
        "problem": {**problem, "one_crop_a_piece": False},
        "answer": {"shares": [], "troubles": [], "gap": 0.0, "is_proven": True},
        **fields,
    }  # fmt: skip
    return LayoutProposal.objects.create(plot=plot, **values)


def make_verdict(sowing: Sowing, *, level: str, judged_at: datetime, **fields: Any) -> GroundVerdict:
    values: dict[str, Any] = {"rule": "rest", "source": "common practice, no published source", **fields}
    return GroundVerdict.objects.create(sowing=sowing, level=level, judged_at=judged_at, **values)


def make_job(sowing: Sowing, kind: str = "thin", *, start_on: date, stage: int = 0, **fields: Any) -> Job:
    """An open job with a window of four days, best on the second."""
    values: dict[str, Any] = {
        "key": f"{sowing.key}/{kind}" if not stage else f"{sowing.key}/{kind}-{stage}",
        "best_on": start_on + timedelta(days=1),
        "by_on": start_on + timedelta(days=3),
        "worked_out_at": instant(start_on),
        **fields,
    }
    said = {name: values.pop(name) for name in REASON if name in values}
    values.setdefault("explanation", make_explanation(sowing.patch.site, at=values["worked_out_at"], **said))
    return Job.objects.create(sowing=sowing, kind=kind, stage=stage, start_on=start_on, **values)


def make_explanation(site: Site, *, at: datetime, **said: Any) -> Explanation:
    """A reason as a plan would keep it, with a rule whose sentence needs no values."""
    values = {"rule": "feel_necks", "source": "common practice, no published source", **said}
    return Explanation.objects.create(site=site, content=uuid4().hex, worked_out_at=at, **values)


def make_notice(site: Site, text: str, *, since: date, until: date, is_public: bool = True) -> Notice:
    return Notice.objects.create(site=site, text=text, since=since, until=until, is_public=is_public)


def make_delivery(member: Member, *, local_date: date, **fields: Any) -> Delivery:
    """A weekly letter, due at seven on its day, with its first step."""
    due_at = fields.pop("due_at", instant(local_date, 7))
    values: dict[str, Any] = {
        "kind": Delivery.Kind.WEEKLY,
        "subject_key": "week",
        "not_before": due_at,
        "message_id": f"<{member.pk}-{local_date}@alderlane.example>",
        **fields,
    }
    delivery = Delivery.objects.create(member=member, local_date=local_date, due_at=due_at, **values)
    DeliveryStep.objects.create(delivery=delivery, at=due_at, state=Delivery.State.DUE)
    return delivery


@dataclass(frozen=True)
class Cast:
    """One site with two plots and four people, each with an account of their own."""

    society: Society
    site: Site
    ana: Member
    ben: Member
    col: Member
    dee: Member
    ana_account: Account
    ben_account: Account
    col_account: Account
    dee_account: Account
    plot: Plot
    bed: Bed
    other_plot: Plot
    other_bed: Bed


def make_cast(*, since: date, normals: bool = True, **site_fields: Any) -> Cast:
    """Everybody, on the same footing since one day."""
    society = make_society()
    site = make_site(society, **site_fields)
    if normals:
        make_normals(site)
    people = {
        name: make_member(society, full, joined_on=since)
        for name, full in [
            ("ana", "Ana Orchard"),
            ("ben", "Ben Hurdle"),
            ("col", "Col Furrow"),
            ("dee", "Dee Sexton"),
        ]
    }
    make_seat(people["dee"], since=since)
    plot = make_plot(site, "7", laid_out_on=since, record_since=since.year)
    other_plot = make_plot(site, "8", laid_out_on=since, corner=(0.0, 9.0), record_since=since.year)
    make_tenancy(plot, people["ana"], since=since)
    make_co_worker(plot, people["ben"], since=since)
    make_tenancy(other_plot, people["col"], since=since)
    return Cast(
        society=society,
        site=site,
        **people,
        **{f"{name}_account": make_account(member, since=since) for name, member in people.items()},
        plot=plot,
        bed=make_bed(plot, since=since),
        other_plot=other_plot,
        other_bed=make_bed(other_plot, since=since, corner=(1.0, 10.0)),
    )
