"""Drawing soil up to stems and stalks."""

from schedules.planner.drafts import Draft, Ground, Spacing
from schedules.planner.rules.staging import stage_spans
from schedules.planner.types import Kind, Reason

GAP_DAYS = 10
# Why soil is drawn up, by the part that is eaten; all else is firmed so that wind does not rock it.
PURPOSES = {"tubers": "dark", "stems": "blanch"}


def earth_up(ground: Ground) -> list[Draft]:
    """Ask for each earthing up at its own warmth after planting, or after the rows showed."""
    after = ground.series("earth_up_after_days")
    purpose = PURPOSES.get(ground.text("harvested_part"), "firm")
    return [
        Draft(
            Kind.EARTH_UP,
            span,
            Reason(
                "earth_up",
                ground.computed(
                    stage=stage,
                    stages=len(after),
                    after_days=days,
                    purpose=purpose,
                    part=ground.text("harvested_part"),
                    grown_from=ground.crop.grown_from,
                ),
                ground.source("earth_up_after_days"),
            ),
            stage=stage,
            spacing=Spacing(Kind.EARTH_UP, GAP_DAYS),
        )
        for stage, (days, span) in enumerate(zip(after, stage_spans(ground, after), strict=True), start=1)
    ]
