"""Showing a grower what a sowing would mean before it is saved: dates, rest, seed. Nothing here writes."""

from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from plots.changes import local_day
from plots.crops import crop as crop_of
from plots.ground_selectors import ground_record, verdicts_of
from plots.models import Sowing
from plots.placing import patch_sides
from plots.rotation import Verdict, explain
from plots.selectors import season_name, season_of
from plots.sowing_wishes import SowingWish, Surroundings, sowing_drafted
from schedules.draft_plans import NoPlan, draft_plan, free_by, lifted_by
from schedules.planner import Plan, Reason
from schedules.planner.rules.supply import supply_reasons


@dataclass(frozen=True, slots=True)
class SowingPreview:
    """What a sowing would mean. ``draft`` is unsaved; ``plan`` is None where ``no_plan_because`` says why."""

    draft: Sowing
    length_m: float
    width_m: float
    plan: Plan | None
    no_plan_because: str
    verdict: Verdict
    verdict_text: str
    supplies: tuple[Reason, ...]

    @property
    def area_m2(self) -> float:
        return self.draft.patch.area_m2


def sowing_preview(*, wish: SowingWish, now: datetime, but: Sowing | None = None) -> SowingPreview:
    """Work a wish out as it would be on saving, and save nothing.

    Raises the ValidationError that saving would raise. ``but`` is the sowing that is being changed.
    """
    seen = _Seen(now)
    draft = sowing_drafted(wish, now=now, around=seen.surroundings, but=but)
    verdict, text = _verdict(draft, now=now, but=but)
    length_m, width_m = patch_sides(draft.patch.outline)
    return SowingPreview(
        draft=draft,
        length_m=length_m,
        width_m=width_m,
        plan=seen.plan,
        no_plan_because=seen.because,
        verdict=verdict,
        verdict_text=text,
        supplies=tuple(supply_reasons(crop_of(draft.crop), draft.patch.area_m2)),
    )


class _Seen:
    """Plans the draft once: for whether it is out of others' way, and for the page."""

    def __init__(self, now: datetime) -> None:
        self._now = now
        self.plan: Plan | None = None
        self.because = ""

    def surroundings(self, draft: Sowing) -> Surroundings:
        try:
            self.plan = draft_plan(draft, now=self._now)
        except NoPlan as reason:
            self.because = str(reason)
        ends = lifted_by(self.plan) if self.plan else None
        return Surroundings(free_by=free_by(draft.patch.site), ends=ends)


def _verdict(draft: Sowing, *, now: datetime, but: Sowing | None) -> tuple[Verdict, str]:
    site = draft.patch.site
    record = ground_record(site, wanted=[draft], current_season=season_of(site, local_day(site, now)))
    if but is not None:
        record = replace(record, uses=[use for use in record.uses if use.key != str(but.key)])
    [verdict] = verdicts_of([draft], record)
    return verdict, explain(verdict.rule, verdict.values, season_name=partial(season_name, site))
