"""Ten thousand growers with a plot and a week's jobs each, and a letter to everyone that is due now.

``python -m tests.bench.letter_society 10000`` lays them out in the database of the settings.
"""

import sys
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import django

django.setup()

from plots.models import Bed, Patch, Plot, Sowing, Tenancy, TenancyHolder  # noqa: E402 - after the set-up
from plots.outlines import rectangle  # noqa: E402
from schedules import deliveries  # noqa: E402
from schedules.models import Explanation, Job  # noqa: E402
from society import clock  # noqa: E402
from society.models import LetterPreference, Member  # noqa: E402
from tests import factories  # noqa: E402

SINCE = date(2020, 1, 1)
CROPS = ("carrot-early", "radish", "beetroot-early", "turnip")
JOBS = (("necks", 0), ("thin", 2), ("weed", 4))
AT_ONCE = 2000


def main(people: int) -> None:
    now = clock.now()
    society = factories.make_society(zone="UTC")
    site = factories.make_site(society)
    factories.make_normals(site)
    outline = rectangle((0.0, 0.0), length_m=20, width_m=8)
    plots = Plot.objects.bulk_create(
        [
            Plot(site=site, number=str(at), outline=outline, area_m2=160, laid_out_on=SINCE)
            for at in range(people)
        ],
        AT_ONCE,
    )
    members = Member.objects.bulk_create(
        [
            Member(society=society, name=f"Member {at}", email=f"m{at}@alderlane.example", joined_on=SINCE)
            for at in range(people)
        ],
        AT_ONCE,
    )
    wishes = [LetterPreference(member=each, weekday=now.weekday(), hour=now.hour) for each in members]
    LetterPreference.objects.bulk_create(wishes, AT_ONCE)
    tenancies = Tenancy.objects.bulk_create([Tenancy(plot=plot, since=SINCE) for plot in plots], AT_ONCE)
    holders = [TenancyHolder(tenancy=to, member=by) for to, by in zip(tenancies, members, strict=True)]
    TenancyHolder.objects.bulk_create(holders, AT_ONCE)
    _jobs(plots, now)
    written = deliveries.deliveries_plan(now=now)
    print(f"{written} letters are due")


def _jobs(plots: list[Plot], now: datetime) -> None:
    bed_outline = rectangle((1.0, 1.0), length_m=5, width_m=1.2)
    beds = Bed.objects.bulk_create(
        [Bed(plot=plot, name="bed 1", outline=bed_outline, since=SINCE) for plot in plots], AT_ONCE
    )
    patches = [
        Patch(site_id=bed.plot.site_id, plot=bed.plot, bed=bed, outline=bed_outline, area_m2=6,
              min_x=1, min_y=1, max_x=6, max_y=2.2)
        for bed in beds
    ]  # fmt: skip
    patches = Patch.objects.bulk_create(patches, AT_ONCE)
    sowings = Sowing.objects.bulk_create(
        [
            Sowing(patch=patch, crop=CROPS[at % len(CROPS)], season=now.year, last_season=now.year)
            for at, patch in enumerate(patches)
        ],
        AT_ONCE,
    )
    reason = Explanation.objects.create(
        site_id=plots[0].site_id, content=uuid4().hex, worked_out_at=datetime.now(UTC),
        rule="feel_necks", source="common practice, no published source",
    )  # fmt: skip
    today = now.date()
    jobs = [
        Job(
            sowing=sowing, key=f"{sowing.key}/{kind}", kind=kind, start_on=today + timedelta(days=after),
            best_on=today + timedelta(days=after + 1), by_on=today + timedelta(days=after + 3),
            explanation=reason, worked_out_at=now,
        )
        for sowing in sowings
        for kind, after in JOBS
    ]  # fmt: skip
    Job.objects.bulk_create(jobs, AT_ONCE)


if __name__ == "__main__":
    main(int(sys.argv[1]))
