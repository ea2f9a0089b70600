"""From a sowing and its climate to dated jobs with reasons: pure, the same jobs for the same input."""

from schedules.planner.cautions import caution_source, caution_text
from schedules.planner.payload import job_payload, plan_payload, reason_payload, window_payload
from schedules.planner.planning import plan, span
from schedules.planner.rules.readings import set_aside_warnings, unit_warnings
from schedules.planner.rules.warnings import record_warnings
from schedules.planner.sentences import sentence
from schedules.planner.site_curves import SiteCurves
from schedules.planner.types import (
    Cover,
    Job,
    Kind,
    Outcome,
    Plan,
    PlanFault,
    Reason,
    Record,
    SiteFacts,
    SowingRequest,
    State,
    Window,
)

__all__ = [
    "Cover",
    "Job",
    "Kind",
    "Outcome",
    "Plan",
    "PlanFault",
    "Reason",
    "Record",
    "SiteCurves",
    "SiteFacts",
    "SowingRequest",
    "State",
    "Window",
    "caution_source",
    "caution_text",
    "job_payload",
    "plan",
    "plan_payload",
    "reason_payload",
    "record_warnings",
    "sentence",
    "set_aside_warnings",
    "span",
    "unit_warnings",
    "window_payload",
]
