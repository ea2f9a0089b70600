"""Judging stored sowings against the ground record, and keeping the verdicts."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from plots.changes import site_held
from plots.ground_columns import widest_patch_m
from plots.ground_selectors import (
    customs_of,
    ground_record,
    sowings_to_judge,
    sowings_touching,
    verdicts_of,
)
from plots.models import GroundVerdict, Plot, Site, Sowing
from plots.models.outlined import Outlined
from plots.natural_order import natural_key
from plots.rotation import Customs, Verdict
from plots.selectors import season_of
from plots.verdict_services import is_lapsed
from society import clock
from society.garbage import garbage_kept
from society.models import Society
from society.zones import zone

# What a new judgement replaces; an overruling, its author and its reason stay beside it.
JUDGED_FIELDS = (
    "level", "rule", "values", "source", "area_m2", "share", "free_from_season", "also", "overruling_lapsed"
)  # fmt: skip
# A big site is judged in strips from west to east: as many sowings at once as memory is no matter for.
SOWINGS_A_STRIP = 1500


@dataclass(frozen=True, slots=True)
class Finding:
    """One stored sowing and what the rule says of its ground."""

    sowing: Sowing
    verdict: Verdict


def ground_check(
    *, site: Site, now: datetime, plot: Plot | None = None, season: int | None = None
) -> list[Finding]:
    """Judge a site's or a plot's sowings and keep the verdicts; the same record gives the same rows again."""
    found = [
        finding for strip in _strips(site, now=now, plot=plot, season=season) for finding in strip.judge(now)
    ]
    return sorted(found, key=_place)


def site_ground_check(*, site: Site, now: datetime) -> Counter[str]:
    """Judge all of a site, strip by strip, and keep nothing in mind but how many there are of each level.

    Each strip holds the site while it is judged, so that nothing is planned meanwhile on what was read.
    """
    counts: Counter[str] = Counter()
    for strip in _strips(site, now=now):
        with site_held(site), garbage_kept():
            counts.update(finding.verdict.level.value for finding in strip.judge(now))
    return counts


def society_ground_check(*, society: Society, now: datetime) -> Counter[str]:
    """Judge every site of a society, after its own rules changed."""
    counts: Counter[str] = Counter()
    for site in society.sites.order_by("pk"):
        counts.update(site_ground_check(site=site, now=now))
    return counts


def sowings_ground_check(*, sowings: Sequence[Sowing], now: datetime) -> list[Finding]:
    """Judge a site's sowings again after a change, with every other open one whose ground they may touch.

    A change to one crop can tire or free the ground of others, so those are judged in the same breath.
    """
    if not sowings:
        return []
    return _touched_ground_check(sowings[0].patch.site, [sowing.patch for sowing in sowings], now)


def touched_ground_check(*, site: Site, ground: Outlined, now: datetime) -> list[Finding]:
    """Judge again every open sowing that may lie on some ground, after something on it changed."""
    return _touched_ground_check(site, [ground], now)


def _touched_ground_check(site: Site, grounds: Sequence[Outlined], now: datetime) -> list[Finding]:
    current = current_season(site, now)
    touched = list(sowings_touching(sowings_to_judge(site, current_season=current), grounds))
    return _judge_and_keep(site, touched, current=current, customs=customs_of(site.society), now=now)


def current_season(site: Site, now: datetime) -> int:
    """The season of the site's own date at an instant."""
    return season_of(site, clock.local_date(now, zone(site.zone)))


@dataclass(frozen=True, slots=True)
class _Strip:
    """Sowings that lie side by side, by their keys, to be judged together."""

    site: Site
    keys: tuple[int, ...]
    current: int
    season: int | None
    customs: Customs
    widest_m: float

    def judge(self, now: datetime) -> list[Finding]:
        rows = sowings_to_judge(self.site, current_season=self.current, season=self.season)
        return _judge_and_keep(
            self.site,
            list(rows.filter(pk__in=self.keys)),
            current=self.current,
            customs=self.customs,
            now=now,
            widest_m=self.widest_m,
        )


def _strips(
    site: Site, *, now: datetime, plot: Plot | None = None, season: int | None = None
) -> Iterator[_Strip]:
    current = current_season(site, now)
    rows = sowings_to_judge(site, current_season=current, season=season, plot=plot)
    keys = list(rows.order_by("patch__min_x", "pk").values_list("pk", flat=True))
    customs, widest_m = customs_of(site.society), widest_patch_m(site)
    for at in range(0, len(keys), SOWINGS_A_STRIP):
        strip = tuple(keys[at : at + SOWINGS_A_STRIP])
        yield _Strip(site, strip, current, season, customs, widest_m)


def _place(finding: Finding) -> tuple[str, int, int]:
    """The order of ``sowings_to_judge``."""
    sowing = finding.sowing
    return natural_key(sowing.patch.plot.number), sowing.season, sowing.pk


def _judge_and_keep(
    site: Site,
    sowings: Sequence[Sowing],
    *,
    current: int,
    customs: Customs,
    now: datetime,
    widest_m: float | None = None,
) -> list[Finding]:
    record = ground_record(site, wanted=sowings, current_season=current, customs=customs, widest_m=widest_m)
    verdicts = verdicts_of(sowings, record)
    findings = [Finding(sowing, verdict) for sowing, verdict in zip(sowings, verdicts, strict=True)]
    _keep(findings, now=now)
    return findings


def _keep(findings: Sequence[Finding], *, now: datetime) -> None:
    """Write what changed, in one statement; an unchanged verdict keeps the instant of its judgement."""
    changed = []
    for finding in findings:
        stored = getattr(finding.sowing, "verdict", None)
        judged = _judged(finding, stored)
        if stored is None or any(getattr(stored, name) != value for name, value in judged.items()):
            changed.append(GroundVerdict(sowing_id=finding.sowing.pk, judged_at=now, **judged))
    GroundVerdict.objects.bulk_create(
        changed,
        update_conflicts=True,
        unique_fields=["sowing"],
        update_fields=[*JUDGED_FIELDS, "judged_at"],
    )


def _judged(finding: Finding, stored: GroundVerdict | None) -> dict[str, Any]:
    """What a judgement sets of the row of a verdict, by field."""
    verdict = finding.verdict
    level = verdict.level.value
    judged: dict[str, Any] = {
        "level": level,
        "rule": verdict.rule,
        "values": verdict.values,
        "source": verdict.source,
        "area_m2": round(verdict.area_m2, 6),
        "share": round(verdict.share, 6),
        "free_from_season": verdict.free_from_season,
        "also": [also_stored(each) for each in verdict.also],
        "overruling_lapsed": stored is not None and is_lapsed(stored, finding.sowing, level=level),
    }
    return judged


def also_stored(verdict: Verdict) -> dict[str, Any]:
    """Another rule that has something against a sowing, as it is kept beside the worst one."""
    return {
        "level": verdict.level.value,
        "rule": verdict.rule,
        "values": verdict.values,
        "source": verdict.source,
        "free_from_season": verdict.free_from_season,
    }
