"""A plan as plain text, for a terminal."""

from schedules.planner import Job, Plan, Window, caution_text, sentence
from schedules.planner.sentences import Units

_TITLES = {
    "raise": "Start under cover",
    "warm": "Warm the ground",
    "sow": "Sow",
    "cover": "Cover",
    "showing": "Look whether the rows show",
    "weed": "Weed",
    "thin": "Thin",
    "earth_up": "Earth up",
    "water": "Water",
    "uncover": "Take the cover off",
    "necks": "Check the necks",
    "lift": "Lift",
    "store": "Store",
    "store_check": "Look over the store",
    "resow": "Sow the next row",
}


def plan_report(plan: Plan, crop_name: str, units: Units) -> str:
    """Return the plan as lines of text, ending without a newline."""
    lines = [crop_name]
    if plan.sow:
        lines.append(f"Season for sowing: {_dates(plan.sow)}")
    if plan.emergence:
        lines.append(f"Rows show: {_dates(plan.emergence)}")
    for job in plan.jobs:
        lines += ["", *_job_lines(job, units)]
    if plan.outlook:
        lines += ["", "Good to know", *(f"  {sentence(each, units)}" for each in plan.outlook)]
    if plan.warnings:
        lines += ["", "Beware", *(f"  {sentence(warning, units)}" for warning in plan.warnings)]
    return "\n".join(lines)


def _job_lines(job: Job, units: Units) -> list[str]:
    stage = f" {job.stage}" if job.stage else ""
    reasons = [job.reason, *job.notes]
    return [
        f"{_title(job)}{stage}: {_dates(job.window)}",
        *(f"  {sentence(reason, units)}" for reason in reasons),
        *(f"  Caution: {caution_text(code)}" for code in job.cautions),
        f"  Source: {job.reason.source}",
    ]


def _title(job: Job) -> str:
    """Name the job by what this crop is: sown or planted, lifted or picked."""
    values = job.reason.values
    if job.kind == "sow" and values.get("grown_from", "seed") != "seed":
        return "Plant"
    return str(values.get("gather") or _TITLES[job.kind]).capitalize()


def _dates(window: Window) -> str:
    return f"from {window.start}, best {window.best}, by {window.by}"
