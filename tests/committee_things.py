"""What each address of the committee's book is about, for the table of permissions."""

from datetime import date, timedelta
from typing import Any

from plots.models import Bed, Plot
from society.models import Member
from tests import factories
from tests.factories import instant

OF_MEMBERS = (
    "committee-grower",
    "committee-grower-change",
    "committee-grower-invite",
    "committee-grower-gone",
    "committee-grower-back",
    "committee-seat-add",
    "committee-address-bounced",
    "committee-address-trust",
)
OF_PLOTS = (
    "committee-plot",
    "committee-plot-change",
    "committee-plot-give-up",
    "committee-plot-halve",
    "committee-plot-merge",
    "committee-plot-move",
    "committee-tenancy-add",
    "committee-helper-add",
    "committee-bed-add",
    "committee-bed-row",
    "committee-beds-again",
)
OF_TENANCIES = ("committee-tenancy-end", "committee-rent")
OF_HELP = ("committee-helper-end",)
OF_BEDS = (
    "committee-bed",
    "committee-bed-move",
    "committee-bed-reshape",
    "committee-bed-split",
    "committee-bed-join",
    "committee-bed-change",
    "committee-bed-close",
)
OF_WAITING = ("committee-waiting-close", "committee-offer-add")
OF_OFFERS = ("committee-offer-answer",)
OF_VERDICTS = ("committee-overrule", "committee-overrule-end")
OF_SIGHTINGS = (
    "committee-sighting-confirm",
    "committee-sighting-tell",
    "committee-sighting-withdraw",
)
OF_NOTICES = ("committee-notice-change", "committee-notice-end")
OF_SEATS = ("committee-seat-end",)
ALL = (
    *OF_MEMBERS, *OF_PLOTS, *OF_TENANCIES, *OF_HELP, *OF_BEDS, *OF_WAITING, *OF_OFFERS, *OF_VERDICTS,
    *OF_SIGHTINGS, *OF_NOTICES, *OF_SEATS,
)  # fmt: skip


def committee_things(plot: Plot, bed: Bed, member: Member, *, today: date) -> dict[str, Any]:
    """One thing of each kind, on this plot or about this member."""
    site, soon = plot.site, today + timedelta(days=7)
    verdict = factories.make_verdict(
        factories.make_sowing(bed, season=today.year),
        level="broken",
        judged_at=instant(today),
        rule="rotation-no-rule",
        values={"crop": "Carrot, early", "family": "Apiaceae"},
    )
    entry = factories.make_waiting_entry(site, member, asked_on=today)
    things = {
        OF_MEMBERS: member,
        OF_PLOTS: plot,
        OF_TENANCIES: plot.tenancies.get(),
        OF_HELP: factories.make_co_worker(plot, member, since=today),
        OF_BEDS: bed,
        OF_WAITING: entry,
        OF_OFFERS: factories.make_offer(entry, plot, made_on=today, lapses_on=soon),
        OF_VERDICTS: verdict,
        OF_SIGHTINGS: factories.make_sighting(bed, "clubroot", on=today),
        OF_NOTICES: factories.make_notice(site, "The water is on.", since=today, until=soon),
        OF_SEATS: factories.make_seat(member, since=today, until=today),
    }
    return {address: thing.pk for addresses, thing in things.items() for address in addresses}
