"""Taking a layout over: its shares become planned sowings, all of them or none."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.changes import Faults, site_held
from plots.layout_patches import LaidShare, kept_outlines, laid_out
from plots.layout_selectors import Question
from plots.layout_services import question_of
from plots.layout_slices import CRUMB_M2
from plots.models import LayoutProposal, Sowing
from plots.rotation.proposals import answer_from, problem_from
from plots.selectors import season_name
from schedules.sowing_services import sowing_plan
from society.models import Account, Member

CHANGED_GROUND = (
    "the ground changed since this was worked out: something was planned, recorded or withdrawn on it; "
    "ask for a new proposal"
)
CHANGED_WISHES = "the wishes changed since this was worked out; ask for a new proposal"


def stale_words(proposal: LayoutProposal, present: Question | None) -> str:
    """Why a proposal no longer answers the plot's question; empty while it does."""
    if present is None or present.asked_mark != proposal.asked_mark:
        return CHANGED_WISHES
    return CHANGED_GROUND if present.ground_mark != proposal.ground_mark else ""


@transaction.atomic
def layout_adopt(
    *, proposal: LayoutProposal, member: Member | None, account: Account | None, now: datetime
) -> list[Sowing]:
    """Plan everything that a layout adds to what is planned already.

    ValidationError says, bed by bed and season by season, what is in the way; then nothing is planned.
    """
    plot = proposal.plot
    with site_held(plot.site):
        row = LayoutProposal.objects.select_for_update().get(pk=proposal.pk)
        if row.adopted_at is not None:
            raise ValidationError({"layout": "it is adopted already; its sowings are on the plot's page"})
        present = question_of(plot, now=now)
        if why := stale_words(row, present):
            raise ValidationError({"layout": why})
        problem = problem_from(row.problem)
        shares = answer_from(row.answer).shares
        pieces = {piece.key: piece for piece in present.pieces}
        faults, planned = Faults(), []
        for laid in laid_out(problem, shares, pieces, kept_outlines(problem)):
            if not laid.is_kept:
                planned += _planned(laid, faults, member=member, account=account, now=now)
        faults.refuse()
        row.adopted_at = now
        row.save(update_fields=["adopted_at"])
    return planned


def _planned(
    laid: LaidShare, faults: Faults, *, member: Member | None, account: Account | None, now: datetime
) -> list[Sowing]:
    plot = laid.piece.bed.plot
    where = f"{laid.piece.name}, {season_name(plot.site, laid.wish.season)}, {laid.wish.name}"
    if not laid.outlines and laid.area_m2 > 2 * CRUMB_M2:
        faults.add("layout", f"{where}: there is no ground left on the bed beside what is planned there")
    found = []
    for outline in laid.outlines:
        try:
            found.append(
                sowing_plan(
                    plot=plot,
                    bed=laid.piece.bed,
                    crop_key=laid.wish.crop,
                    season=laid.wish.season,
                    place=outline,
                    member=member,
                    account=account,
                    now=now,
                )
            )
        except ValidationError as fault:
            for message in fault.messages:
                faults.add("layout", f"{where}: {message}")
    return found
