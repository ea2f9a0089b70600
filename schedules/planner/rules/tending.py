"""Weeding and thinning, stage by stage."""

from schedules.planner.drafts import Draft, Ground, Spacing, practice
from schedules.planner.rules.staging import stage_spans
from schedules.planner.sources import PRACTICE, THINNING_HOUR
from schedules.planner.types import Kind, Reason

THIN_GAP_DAYS = 7


def thin(ground: Ground) -> list[Draft]:
    """Ask for each thinning at its own warmth after emergence."""
    spacings, after = ground.series("thin_spacings_mm"), ground.series("thin_after_days")
    spans = stage_spans(ground, after)
    return [
        Draft(
            Kind.THIN,
            span,
            Reason(
                "thin_to_spacing",
                ground.computed(
                    spacing_mm=spacing_mm,
                    stage=stage,
                    stages=len(spacings),
                    after_days=days,
                    emergence_known=ground.growth.emergence is not None,
                ),
                ground.source("thin_spacings_mm"),
            ),
            stage=stage,
            spacing=Spacing(Kind.THIN, THIN_GAP_DAYS),
            notes=_thinning_advice(ground),
        )
        for stage, (spacing_mm, days, span) in enumerate(zip(spacings, after, spans, strict=False), start=1)
    ]


def _thinning_advice(ground: Ground) -> tuple[Reason, ...]:
    if ground.text("flight") == "carrot-fly":
        return (practice("thin_when_calm", THINNING_HOUR, evidence="conflicting"),)
    return (practice("thin_when_damp", PRACTICE),)


def weed(ground: Ground) -> list[Draft]:
    """Ask for each weeding while the rows are young."""
    after = ground.series("weed_after_days")
    return [
        Draft(
            Kind.WEED,
            span,
            Reason(
                "weed_the_rows",
                ground.computed(stage=stage, stages=len(after), after_days=days),
                ground.source("weed_after_days") or PRACTICE,
            ),
            stage=stage,
        )
        for stage, (days, span) in enumerate(zip(after, stage_spans(ground, after), strict=True), start=1)
    ]
