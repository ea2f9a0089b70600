"""Published sowing guides beside what the planner says for the same place: by how many days they part.

``python -m tests.outside.guides`` prints the table. A guide states a span: 0 days is inside, minus is early.
Its own precision is the tolerance: tender crops open within 10 days, hardy ones up to 21 early or 14 late, a
closing lies within 14 days, a first gathering within a fifth of the days from sowing; one second-hand
or by the month alone (tier B) is held to twice that (gathering to 35 %), and tier C is read by eye. The
tolerances are common practice, no published source.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from statistics import median

from plots.crops import crop
from schedules.agronomy.climate import DailyWeather, Ensemble, ensemble
from schedules.planner import Kind, Plan, SiteFacts, SowingRequest, plan, span
from tests.outside import records

FILE = Path(__file__).parent / "data" / "guides.csv"
RECORDS = {"seattle": records.seattle, "wageningen": records.wageningen}
ZONES = {"seattle": "America/Los_Angeles", "wageningen": "Europe/Amsterdam"}
EARLY_DAYS, LATE_DAYS, TENDER_DAYS, CLOSING_DAYS = 21, 14, 10, 14
GATHERING_SHARE = {"A": 0.20, "B": 0.35}


@dataclass(frozen=True, slots=True)
class Guide:
    """One statement of one guide."""

    line: int
    place: str
    lat: float
    lon: float
    record: str
    crop: str
    season: str
    event: str
    begins: str
    ends: str
    tier: str
    source: str
    remark: str
    differs_because: str

    @property
    def name(self) -> str:
        return f"{self.line} {self.place} {self.crop or 'frost'} {self.event} {self.begins}"


@dataclass(frozen=True, slots=True)
class Finding:
    """A guide beside the plan: days outside the guide's span, and how many are fair either way."""

    guide: Guide
    day: date
    off_days: int
    fair_early: float
    fair_late: float

    @property
    def agrees(self) -> bool:
        return -self.fair_early <= self.off_days <= self.fair_late


@cache
def guides() -> tuple[Guide, ...]:
    with FILE.open(encoding="utf-8", newline="") as stream:
        return tuple(
            Guide(
                line=line,
                lat=float(row.pop("lat")),
                lon=float(row.pop("lon")),
                begins=row.pop("from"),
                ends=row.pop("to"),
                **row,
            )
            for line, row in enumerate(csv.DictReader(stream), start=2)
        )


@cache
def answer(record: str, lat: float, lon: float, crop_key: str, season: str) -> tuple[Plan, int]:
    """Plan a sowing 'when fit' on the day after the record ends, so that all its years speak."""
    weather: DailyWeather = RECORDS[record]()
    year = int(weather.dates[-1].astype("datetime64[Y]").astype(int)) + 1971
    today = date(year, 8 if season == "autumn" else 1, 1)
    site = SiteFacts(lat, lon, ZONES[record])
    request = SowingRequest(key="guide", crop=crop(crop_key), sow_on=None, not_before=today)
    first, days = span(request, site, {}, today)
    climate: Ensemble = ensemble(observed=weather, normals=None, today=today, first=first, days=days)
    return plan(request, site, climate, {}, today), year


def findings() -> Iterator[Finding]:
    """Every guide that the planner answers for; frost rows are looked at with the frost records."""
    for guide in guides():
        if guide.crop:
            yield _finding(guide)


def _finding(guide: Guide) -> Finding:
    told, year = answer(guide.record, guide.lat, guide.lon, guide.crop, guide.season)
    assert told.sow is not None, guide.name
    if guide.event == "gathers":
        lift = next(job for job in told.jobs if job.kind is Kind.LIFT)
        day, length = lift.window.start, (lift.window.start - told.sow.best).days
        fair = GATHERING_SHARE.get(guide.tier, 0.5) * length
        return Finding(guide, day, _off(guide, day, day.year), fair, fair)
    day = told.sow.start if guide.event == "opens" else told.sow.by
    factor = 1 if guide.tier == "A" else 2
    tender = crop(guide.crop).fact("frost_class").value == "tender" and crop(guide.crop).grown_from != "tuber"
    early, late = (TENDER_DAYS, TENDER_DAYS) if tender else (EARLY_DAYS, LATE_DAYS)
    if guide.event == "closes":
        early = late = CLOSING_DAYS
    return Finding(guide, day, _off(guide, day, year), early * factor, late * factor)


def _off(guide: Guide, day: date, year: int) -> int:
    begins, ends = (date.fromisoformat(f"{year}-{each}") for each in (guide.begins, guide.ends))
    if day < begins:
        return (day - begins).days
    return max(timedelta(0), day - ends).days


def main() -> None:
    """Print every guide with its difference, then the bias by place and by crop."""
    found = list(findings())
    for each in sorted(found, key=lambda f: (f.guide.event, f.guide.crop, f.guide.place)):
        mark = " " if each.agrees else ("!" if each.guide.tier != "C" else "c")
        print(
            f"{mark} {each.guide.tier} {each.guide.event:<8} {each.guide.crop:<15} {each.guide.place:<24}"
            f" {each.guide.begins}..{each.guide.ends}  told {each.day:%m-%d}  off {each.off_days:+4d} d"
            f"  fair -{each.fair_early:.0f}/+{each.fair_late:.0f}"
        )
    for name in ("place", "crop", "event"):
        print(f"\nmedian signed difference by {name} (tiers A and B)")
        scored = [each for each in found if each.guide.tier in "AB"]
        for value in sorted({getattr(each.guide, name) for each in scored}):
            days = [each.off_days for each in scored if getattr(each.guide, name) == value]
            print(f"  {value:<24} {median(days):+5.1f} d of {len(days)}")


if __name__ == "__main__":
    main()
