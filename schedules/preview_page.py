"""A wished sowing as a page says it: the sentence that matters, its ground, dates and seed."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from plots.crops import crop as crop_of
from plots.measures import area_words
from plots.models import Sowing
from plots.selectors import season_begins, season_name, season_of
from plots.sowing_wishes import SowingWish
from plots.verdict_selectors import WARNING_LEVELS
from schedules.ground_rest import LEVEL_WORDS, family_name
from schedules.planner import Job, Plan, caution_text, sentence
from schedules.planner.sentences import Units, sentences
from schedules.sowing_preview import SowingPreview, sowing_preview
from schedules.titles import job_title
from schedules.wording import day_words

HEADS = {
    "sound": "The ground is rested from the {family}",
    "no record": "No record says whether this ground has rested from the {family}",
    "possible": "This ground may not have rested long enough from the {family}",
    "short": "This ground is short of the rest advised from the {family}",
    "broken": "This ground has not rested long enough from the {family}",
}
NO_RULE = "rotation-no-rule"


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job of a plan with its three dates and the reason behind them."""

    title: str
    best: str
    start_on: date
    best_on: date
    by_on: date
    reason: str
    source: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Advice:
    """A sentence and what stands behind it."""

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class PreviewPage:
    head: str
    lead: str
    level: str
    level_words: str
    season: str
    is_warning: bool
    verdict_text: str
    verdict_source: str
    free_from: str
    overlaps: tuple[str, ...]
    jobs: tuple[JobLine, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    at_hand: tuple[Advice, ...]


def sowing_settled(wish: SowingWish, *, now: datetime) -> tuple[SowingWish, SowingPreview]:
    """Preview a wish in the season in which it would really be sown.

    Asked late in the year, a crop that waits for fit ground waits for the next season; its ground is to be
    judged for that one.
    """
    preview = sowing_preview(wish=wish, now=now)
    site, best = wish.plot.site, preview.plan.sow.best if preview.plan and preview.plan.sow else None
    if wish.sow_on is not None or best is None or season_of(site, best) == preview.draft.season:
        return wish, preview
    season = season_of(site, best)
    later = replace(wish, season=season, not_before=season_begins(site, season))
    return later, sowing_preview(wish=later, now=now)


def preview_page(preview: SowingPreview, *, today: date, units: Units) -> PreviewPage:
    draft, verdict = preview.draft, preview.verdict
    site, crop = draft.patch.site, crop_of(draft.crop)
    free = verdict.free_from_season
    level = verdict.level.value
    no_rule = f"No rest period is on file for {crop.name_in_text}"
    return PreviewPage(
        head=no_rule if verdict.rule == NO_RULE else HEADS[level].format(family=family_name(crop.family)),
        lead=_lead(preview, today=today, units=units),
        level=level,
        level_words=LEVEL_WORDS[level],
        season=season_name(site, draft.season),
        is_warning=level in WARNING_LEVELS,
        verdict_text=preview.verdict_text,
        verdict_source=verdict.source,
        free_from=season_name(site, free) if free else "",
        overlaps=tuple(
            f"{each.crop_name}, {_seasons(draft, each.first_season, each.last_season)}: "
            f"{each.area_m2:.2f} m² of this ground ({each.share * 100:.0f} %)"
            for each in verdict.overlaps
        ),
        jobs=tuple(job_line(job, draft, today=today, units=units) for job in _jobs(preview.plan)),
        warnings=sentences(preview.plan.warnings, units) if preview.plan else (),
        notes=_notes(preview, units),
        at_hand=tuple(Advice(sentence(each, units), each.source) for each in preview.supplies),
    )


def job_line(job: Job, draft: Sowing, *, today: date, units: Units) -> JobLine:
    window = job.window
    reason, *notes = sentences((job.reason, *job.notes), units)
    return JobLine(
        title=job_title(job.kind, crop_of(draft.crop), job.reason.values, units=units),
        best=day_words(window.best, today=today),
        start_on=window.start,
        best_on=window.best,
        by_on=window.by,
        reason=reason,
        source=job.reason.source,
        notes=tuple(notes),
        cautions=tuple(caution_text(code) for code in job.cautions),
    )


def _notes(preview: SowingPreview, units: Units) -> tuple[str, ...]:
    """What is good to know, without what is to be had at hand, which has its own place on the page."""
    outlook = preview.plan.outlook if preview.plan else ()
    return sentences((each for each in outlook if each not in preview.supplies), units)


def _jobs(plan: Plan | None) -> list[Job]:
    return sorted(plan.jobs, key=lambda job: (job.window.start, job.window.best)) if plan else []


def _seasons(draft: Sowing, first: int, last: int) -> str:
    site = draft.patch.site
    if first == last:
        return season_name(site, first)
    return f"{season_name(site, first)} to {season_name(site, last)}"


def _lead(preview: SowingPreview, *, today: date, units: Units) -> str:
    """'Sow carrot (early) about 14 April, on 6 m² of bed 1.'"""
    draft = preview.draft
    bed = draft.patch.bed.name if draft.patch.bed else f"plot {draft.patch.plot.number}"
    ground = f"on {area_words(preview.area_m2)} of {bed}"
    title = job_title("sow", crop_of(draft.crop), {}, units=units)
    if preview.plan is None:
        return f"{title}, {ground}. There are no dates: {preview.no_plan_because}."
    if preview.plan.sow is None:
        return f"{title}, {ground}. No day within two years is fit for it."
    day = day_words(preview.plan.sow.best, today=today)
    return f"{title} {'on' if draft.sow_on else 'about'} {day}, {ground}."
