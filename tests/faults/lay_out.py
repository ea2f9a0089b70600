"""Members with a letter each that is due now: `python -m tests.faults.lay_out 500`."""

import sys
from datetime import date

import django

django.setup()

from plots.models import CoWorker  # noqa: E402
from schedules import deliveries  # noqa: E402 - models can be imported only after the set-up
from society import clock  # noqa: E402
from society.models import LetterPreference, Member  # noqa: E402
from tests import factories  # noqa: E402

SINCE = date(2020, 1, 1)


def main(letters: int) -> None:
    now = clock.now()
    society = factories.make_society(zone="UTC")
    plot = factories.make_plot(factories.make_site(society), "1", laid_out_on=SINCE)
    bed = factories.make_bed(plot, since=SINCE)
    factories.make_job(
        factories.make_sowing(bed, season=now.year), "necks", start_on=now.date(), rule="feel_necks"
    )
    people = Member.objects.bulk_create(
        Member(society=society, name=f"Member {at}", email=f"m{at}@alderlane.example", joined_on=SINCE)
        for at in range(letters)
    )
    CoWorker.objects.bulk_create(CoWorker(plot=plot, member=member, since=SINCE) for member in people)
    LetterPreference.objects.bulk_create(
        LetterPreference(member=member, weekday=now.weekday(), hour=now.hour) for member in people
    )
    written = deliveries.deliveries_plan(now=now)
    assert written == letters, f"{written} letters fell due instead of {letters}"


if __name__ == "__main__":
    main(int(sys.argv[1]))
