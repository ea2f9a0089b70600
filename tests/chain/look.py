"""What the database says: `python -m tests.chain.look`, as JSON on standard output."""

import json
import sys
from datetime import date, timedelta

import django

django.setup()

from schedules.models import Delivery, Job, Sweep  # noqa: E402 - models only after the set-up
from schedules.selectors import as_read  # noqa: E402
from tests.chain.deployment import SHOWN_DAY  # noqa: E402

TODAY = date.fromisoformat(SHOWN_DAY)


def titles_by_plot() -> dict[str, list[str]]:
    """Titles of the jobs that begin by the end of the week, by plot, straight from the job rows."""
    titles: dict[str, list[str]] = {}
    due = Job.objects.filter(state="open", is_asked=True, start_on__lte=TODAY + timedelta(days=6))
    for job in due.select_related("sowing__patch__plot", "sowing__patch__bed"):
        plot = job.sowing.patch.plot.number
        titles.setdefault(plot, []).append(as_read(job, today=TODAY, units="metric").title)
    return titles


def main() -> None:
    letters = Delivery.objects.select_related("member").order_by("pk")
    answer = {
        "titles": titles_by_plot(),
        "deliveries": [
            {
                "to": row.member.email,
                "state": row.state,
                "message_id": row.message_id,
                "doubts": row.doubts,
                "attempts": row.attempts,
                "steps": list(row.steps.values_list("state", flat=True)),
            }
            for row in letters
        ],
        "sweeps": {row.name: row.finished_at.isoformat() for row in Sweep.objects.all()},
    }
    json.dump(answer, sys.stdout)


if __name__ == "__main__":
    main()
