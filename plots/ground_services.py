"""Judging stored sowings against the ground record, and keeping the verdicts."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shapely import STRtree

from plots.ground_selectors import ground_uses, sowings_to_judge, sowings_touching, wanted_ground
from plots.models import GroundVerdict, Plot, Site, Sowing
from plots.rotation import GroundUse, Verdict, judge
from plots.selectors import season_of
from plots.verdict_services import is_lapsed
from society import clock
from society.zones import zone

# What a new judgement replaces; an overruling, its author and its reason stay beside it.
JUDGED_FIELDS = ("level", "rule", "values", "source", "area_m2", "share", "free_from_season")


@dataclass(frozen=True, slots=True)
class Finding:
    """One stored sowing and what the rule says of its ground."""

    sowing: Sowing
    verdict: Verdict


def ground_check(
    *, site: Site, now: datetime, plot: Plot | None = None, season: int | None = None
) -> list[Finding]:
    """Judge a site's or a plot's sowings and keep the verdicts; the same record gives the same rows again."""
    current = current_season(site, now)
    sowings = list(sowings_to_judge(site, current_season=current, season=season, plot=plot))
    return _judge_and_keep(site, sowings, current=current, now=now)


def sowing_ground_check(*, sowing: Sowing, now: datetime) -> list[Finding]:
    """Judge a sowing again after a change, with every other open one whose ground it may touch.

    A change to one crop can tire or free the ground of others, so those are judged in the same breath.
    """
    site = sowing.patch.site
    current = current_season(site, now)
    touched = list(sowings_touching(sowings_to_judge(site, current_season=current), sowing.patch))
    return _judge_and_keep(site, touched, current=current, now=now)


def current_season(site: Site, now: datetime) -> int:
    """The season of the site's own date at an instant."""
    return season_of(site, clock.local_date(now, zone(site.zone)))


def _judge_and_keep(site: Site, sowings: Sequence[Sowing], *, current: int, now: datetime) -> list[Finding]:
    record = _Record(ground_uses(site, wanted=sowings, current_season=current))
    findings = [Finding(sowing, _verdict(sowing, record)) for sowing in sowings]
    _keep(findings, now=now)
    return findings


class _Record:
    """The uses of one site by family, each family with an index of where they lie."""

    def __init__(self, uses: Iterable[GroundUse]) -> None:
        self._families: dict[str, list[GroundUse]] = defaultdict(list)
        for use in uses:
            self._families[use.family].append(use)
        self._trees = {
            family: STRtree([use.polygon for use in of_family])
            for family, of_family in self._families.items()
        }

    def near(self, family: str, polygon: Any) -> Iterator[GroundUse]:
        """Uses of a family whose boxes meet the polygon's, in the record's order."""
        if family in self._trees:
            for index in sorted(self._trees[family].query(polygon)):
                yield self._families[family][index]


def _verdict(sowing: Sowing, record: _Record) -> Verdict:
    wanted = wanted_ground(sowing)
    past = record.near(wanted.family, wanted.polygon)
    return judge(wanted, past, record_since=sowing.patch.plot.record_since)


def _keep(findings: Sequence[Finding], *, now: datetime) -> None:
    """Write what changed, in one statement; an unchanged verdict keeps the instant of its judgement."""
    changed = []
    for finding in findings:
        row = _row(finding, now)
        stored = getattr(finding.sowing, "verdict", None)
        row.overruling_lapsed = stored is not None and is_lapsed(stored, finding.sowing, level=row.level)
        if _differs(row, stored):
            changed.append(row)
    GroundVerdict.objects.bulk_create(
        changed,
        update_conflicts=True,
        unique_fields=["sowing"],
        update_fields=[*JUDGED_FIELDS, "overruling_lapsed", "judged_at"],
    )


def _row(finding: Finding, now: datetime) -> GroundVerdict:
    verdict = finding.verdict
    return GroundVerdict(
        sowing_id=finding.sowing.pk,
        level=verdict.level.value,
        rule=verdict.rule,
        values=verdict.values,
        source=verdict.source,
        area_m2=round(verdict.area_m2, 6),
        share=round(verdict.share, 6),
        free_from_season=verdict.free_from_season,
        judged_at=now,
    )


def _differs(row: GroundVerdict, stored: GroundVerdict | None) -> bool:
    return stored is None or any(
        getattr(row, name) != getattr(stored, name) for name in (*JUDGED_FIELDS, "overruling_lapsed")
    )
