"""A plan as plain text, for a terminal: what to beware of first, and each source once, by its number."""

from collections.abc import Iterable
from datetime import date

from schedules.planner import Job, Plan, Reason, Window, caution_text, sentence
from schedules.planner.sentences import Units, basis_of
from schedules.planner.sentences.wording import MONTHS

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


class _Sources:
    """Sources as they come, each with the number under which it stands at the end."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}

    def mark(self, reasons: Iterable[Reason]) -> str:
        """Return '[1] [3]' for what some reasons rest on."""
        names = [name for reason in reasons for name in reason.source.split("; ") if name]
        numbers = sorted({self.numbers.setdefault(name, len(self.numbers) + 1) for name in names})
        return " ".join(f"[{number}]" for number in numbers)


def plan_report(plan: Plan, crop_name: str, units: Units) -> str:
    """Return the plan as lines of text, ending without a newline.

    What the dates rest on is said once at the head and left out of the sentences.
    """
    sources = _Sources()
    lines = [crop_name]
    if plan.sow:
        lines.append(f"Season for sowing: {_dates(plan.sow)}")
    if plan.emergence:
        lines.append(f"Rows show: {_dates(plan.emergence)}")
    lines += _bases(plan, units)
    lines += _listed("Beware", plan.warnings, sources, units)
    for job in plan.jobs:
        lines += ["", *_job_lines(job, sources, units)]
    lines += _listed("Good to know", plan.outlook, sources, units)
    if sources.numbers:
        lines += ["", "Sources", *(f"  [{number}] {name}" for name, number in sources.numbers.items())]
    return "\n".join(lines)


def _bases(plan: Plan, units: Units) -> list[str]:
    jobs = (each for job in plan.jobs for each in (job.reason, *job.notes))
    bases = dict.fromkeys(basis_of(each, units) for each in (*plan.warnings, *jobs, *plan.outlook))
    return [f"All dates are {basis}." for basis in bases if basis]


def _listed(title: str, reasons: tuple[Reason, ...], sources: _Sources, units: Units) -> list[str]:
    if not reasons:
        return []
    return ["", title, *(f"  {_said(each, units)} {sources.mark([each])}".rstrip() for each in reasons)]


def _said(reason: Reason, units: Units) -> str:
    return sentence(reason, units, says_basis=False)


def _job_lines(job: Job, sources: _Sources, units: Units) -> list[str]:
    stage = f" {job.stage}" if job.stage else ""
    reasons = [job.reason, *job.notes]
    return [
        f"{_title(job)}{stage}: {_dates(job.window)}",
        *(f"  {_said(reason, units)} {sources.mark([reason])}".rstrip() for reason in reasons),
        *(f"  Caution: {caution_text(code)}" for code in job.cautions),
    ]


def _title(job: Job) -> str:
    """Name the job by what this crop is: sown or planted, lifted or picked."""
    values = job.reason.values
    if job.kind == "sow" and values.get("grown_from", "seed") != "seed":
        return "Plant"
    return str(values.get("gather") or _TITLES[job.kind]).capitalize()


def _dates(window: Window) -> str:
    return f"from {_day(window.start)}, best {_day(window.best)}, by {_day(window.by)}"


def _day(day: date) -> str:
    """Return a day as the sentences write it."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
