"""Whole seasons against published guides: within their own precision, or with a stated reason why not.

The guides, their sources and the tolerances are in ``guides.py`` and ``data/guides.csv``. A reason is no
licence: it must name what the guide is bound by and the plan is not, and one that is no longer needed fails.
"""

from statistics import median

import pytest

from tests.outside.guides import Finding, findings, guides

FOUND = {finding.guide.line: finding for finding in findings()}
SCORED = [finding for finding in FOUND.values() if finding.guide.tier in {"A", "B"}]
# Common practice, no published source: more than this in one direction is a fault of the rule, not of a row.
FAIR_BIAS_DAYS = 10
ENOUGH_ROWS = 3


def test_every_guide_that_names_a_crop_is_answered():
    assert len(FOUND) == sum(bool(guide.crop) for guide in guides()) == 47


@pytest.mark.parametrize("finding", SCORED, ids=lambda finding: finding.guide.name)
def test_the_plan_agrees_with_the_guide_or_says_why_not(finding: Finding):
    reason = finding.guide.differs_because
    told = f"{finding.guide.name}: told {finding.day}, {finding.off_days:+d} days; {finding.guide.source}"
    assert finding.agrees or reason, told
    assert not (finding.agrees and reason), f"{told}; the stated difference is gone: take the reason out"


@pytest.mark.parametrize("place", sorted({finding.guide.place for finding in SCORED}))
def test_no_place_leans_one_way(place):
    days = [finding.off_days for finding in SCORED if finding.guide.place == place]
    assert len(days) >= ENOUGH_ROWS
    assert abs(median(days)) <= FAIR_BIAS_DAYS


def test_no_crop_leans_one_way():
    by_crop: dict[str, list[int]] = {}
    for finding in SCORED:
        if not finding.guide.differs_because:
            by_crop.setdefault(finding.guide.crop, []).append(finding.off_days)
    leaning = {
        crop: median(days)
        for crop, days in by_crop.items()
        if len(days) >= ENOUGH_ROWS and abs(median(days)) > FAIR_BIAS_DAYS
    }
    assert not leaning
