"""What the checker found, for people and for machines: text with the worst first, and plain values."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from plots.crops import Crop
from plots.fitting_selectors import crops_fitting
from plots.ground_services import Finding, current_season
from plots.models import Site
from plots.other_use_families import plain_family_name
from plots.rotation import Level, Overlap, Verdict, explain
from plots.selectors import season_name

WARNED = frozenset({Level.SHORT, Level.BROKEN})
# Each is asked of the record by itself; of a society with more warnings a plot or a season is asked for.
MOST_FITTED = 200


@dataclass(frozen=True, slots=True)
class Reported:
    """One finding on its site; ``fits`` is what else would be sound there, None where that was not asked."""

    site: Site
    finding: Finding
    fits: tuple[Crop, ...] | None

    @property
    def verdict(self) -> Verdict:
        return self.finding.verdict


def report_of(site: Site, findings: Sequence[Finding], *, now: datetime) -> list[Reported]:
    """The findings of a site with what else would fit where a rest is short or broken. Nothing is written."""
    current = current_season(site, now)
    warned = {id(each) for each in findings if each.verdict.level in WARNED}
    asked = warned if len(warned) <= MOST_FITTED else set()
    return [
        Reported(
            site,
            each,
            tuple(crops_fitting(each.sowing, current_season=current)) if id(each) in asked else None,
        )
        for each in findings
    ]


def as_text(found: Sequence[Reported], *, several_sites: bool, in_full: bool) -> str:
    """Paragraphs with the worst first, then a tally; sound ground has a line, or ``in_full`` a paragraph."""
    if not found:
        return "Nothing is planned or stands there from this season on, so there is no ground to judge."
    # Sorting leaves those of one level in the order of their plots.
    ordered = sorted(found, key=lambda each: -each.verdict.level.severity)
    lines = [
        "\n".join(_paragraph(each, several_sites, in_full or each.verdict.level is not Level.SOUND))
        for each in ordered
    ]
    counts = Counter(each.verdict.level for each in found)
    tally = ", ".join(f"{counts[level]} {level.value}" for level in reversed(Level) if counts[level])
    sowings = "1 sowing" if len(found) == 1 else f"{len(found)} sowings"
    if any(each.verdict.level in WARNED and each.fits is None for each in found):
        lines.append("Ask for one plot with --plot to hear what else would fit there.")
    return "\n".join([*lines, f"{sowings} judged: {tally}."])


def as_data(reported: Reported) -> dict[str, Any]:
    """One finding as plain values: areas in square metres, shares of the patch from 0 to 1."""
    sowing = reported.finding.sowing
    return {
        "site": reported.site.slug,
        "plot": sowing.patch.plot.number,
        "bed": sowing.patch.bed.name if sowing.patch.bed else None,
        "sowing": str(sowing.key),
        "crop": sowing.crop,
        "crop_name": sowing.crop_name,
        "season": sowing.season,
        **_verdict(reported.site, reported.verdict),
        "also": [_verdict(reported.site, each) for each in reported.verdict.also],
        "fits": None if reported.fits is None else [crop.key for crop in reported.fits],
    }


def _paragraph(reported: Reported, several_sites: bool, in_full: bool) -> Iterator[str]:
    site, verdict, sowing = reported.site, reported.verdict, reported.finding.sowing
    number = sowing.patch.plot.number
    place = [f"{site.name}, plot {number}" if several_sites else f"Plot {number}"]
    if sowing.patch.bed:
        place.append(sowing.patch.bed.name)
    yield f"{', '.join([*place, sowing.crop_name, season_name(site, sowing.season)])}: {verdict.level.value}"
    if in_full:
        yield f"  {_words(site, verdict)}\n  Source: {verdict.source}"
        for other in verdict.also:
            yield f"  Also, {other.level.value}: {_words(site, other)}\n  Source: {other.source}"
    if reported.fits is not None:
        yield f"  {_fitting_words(reported.fits, season_name(site, sowing.season))}"


def _fitting_words(fits: Sequence[Crop], season: str) -> str:
    if not fits:
        return (
            f"Nothing else can be called sound there in {season}: every family has something against it, "
            "or the record of this ground is too short to say."
        )
    families: dict[str, list[str]] = {}
    for crop in fits:
        families.setdefault(plain_family_name(crop.family), []).append(crop.name_in_text)
    named = "; ".join(f"{family} ({', '.join(names)})" for family, names in sorted(families.items()))
    return f"What else would fit there in {season}, by the record of this ground: {named}."


def _words(site: Site, verdict: Verdict) -> str:
    return explain(verdict.rule, verdict.values, season_name=partial(season_name, site))


def _verdict(site: Site, verdict: Verdict) -> dict[str, Any]:
    return {
        "level": verdict.level.value,
        "area_m2": round(verdict.area_m2, 4),
        "share": round(verdict.share, 4),
        "free_from": verdict.free_from_season,
        "overlaps": [_overlap(each) for each in verdict.overlaps],
        "rule": verdict.rule,
        "source": verdict.source,
        "text": _words(site, verdict),
    }


def _overlap(overlap: Overlap) -> dict[str, Any]:
    return {
        "sowing": overlap.key,
        "crop": overlap.crop_key,
        "crop_name": overlap.crop_name,
        "first_season": overlap.first_season,
        "last_season": overlap.last_season,
        "seasons_between": overlap.seasons_between,
        "area_m2": round(overlap.area_m2, 4),
        "share": round(overlap.share, 4),
        "coarse": overlap.coarse,
    }
