"""A plan as plain JSON."""

from typing import Any

from schedules.planner.cautions import caution_source, caution_text
from schedules.planner.sentences import Units, sentence
from schedules.planner.types import Job, Plan, Reason, Window


def plan_payload(plan: Plan, units: Units = "metric") -> dict[str, Any]:
    """Return the plan as what ``json.dumps`` takes; dates are ISO 8601."""
    return {
        "sowing": {"crop": plan.crop_key, "sow": window_payload(plan.sow)},
        "emergence": window_payload(plan.emergence),
        "jobs": [job_payload(job, units) for job in plan.jobs],
        "outlook": [reason_payload(each, units) for each in plan.outlook],
        "warnings": [reason_payload(warning, units) for warning in plan.warnings],
    }


def window_payload(window: Window | None) -> dict[str, str] | None:
    if window is None:
        return None
    return {"from": window.start.isoformat(), "best": window.best.isoformat(), "by": window.by.isoformat()}


def reason_payload(reason: Reason, units: Units = "metric") -> dict[str, Any]:
    return {
        "rule": reason.rule,
        "values": dict(reason.values),
        "source": reason.source,
        "text": sentence(reason, units),
    }


def job_payload(job: Job, units: Units = "metric") -> dict[str, Any]:
    return {
        "key": job.key,
        "kind": str(job.kind),
        "stage": job.stage,
        **(window_payload(job.window) or {}),
        "reason": reason_payload(job.reason, units),
        "notes": [reason_payload(note, units) for note in job.notes],
        "cautions": [
            {"code": code, "text": caution_text(code), "source": caution_source(code)}
            for code in job.cautions
        ],
        "state": str(job.state),
        "done_on": job.done_on.isoformat() if job.done_on else None,
    }
