"""Lay out a small society in the database that the environment names: `python -m tests.chain.lay_out`.

Only people, ground and sowings: weather is imported and jobs are worked out by the deployment itself.
Ana and Dov work plot 1, Ben plot 2, Cay plot 3: all four have work this week. Eli has work on plot 4 and
no e-mail. Fay's sowing on plot 5 is months away. The weekly hour of all came yesterday at seven.
"""

from datetime import date, timedelta

import django

django.setup()

from tests import factories  # noqa: E402 - models can be imported only after the set-up
from tests.chain.deployment import SHOWN_DAY  # noqa: E402

SINCE = date(2020, 1, 1)
TODAY = date.fromisoformat(SHOWN_DAY)
# plot, member, address, crop, days until it is to be sown
PLOTS = [
    ("1", "Ana Orchard", "ana@alderlane.example", "carrot-early", 2),
    ("2", "Ben Hurdle", "ben@alderlane.example", "radish", 1),
    ("3", "Cay Drill", "cay@alderlane.example", "beetroot-early", 4),
    ("4", "Eli Dibber", "", "turnip", 3),
    ("5", "Fay Trug", "fay@alderlane.example", "beetroot-maincrop", 100),
]


def main() -> None:
    society = factories.make_society()
    site = factories.make_site(society)
    people = []
    for row, (number, name, email, crop, days) in enumerate(PLOTS):
        plot = factories.make_plot(site, number, laid_out_on=SINCE, corner=(0.0, 9.0 * row))
        bed = factories.make_bed(plot, since=SINCE, corner=(1.0, 9.0 * row + 1))
        member = factories.make_member(society, name, joined_on=SINCE, email=email)
        factories.make_tenancy(plot, member, since=SINCE)
        factories.make_sowing(bed, crop, season=TODAY.year, sow_on=TODAY + timedelta(days=days))
        people.append(member)
        if number == "1":
            dov = factories.make_member(society, "Dov Barrow", joined_on=SINCE)
            factories.make_co_worker(plot, dov, since=SINCE)
            people.append(dov)
    for member in people:
        factories.make_preference(member, weekday=(TODAY - timedelta(days=1)).weekday())


if __name__ == "__main__":
    main()
