"""Taking a layout over: its shares become planned sowings, all of them or none."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.changes import Faults, note, site_held
from plots.layout_patches import LaidShare, kept_outlines, laid_out
from plots.layout_selectors import Question
from plots.layout_services import question_of
from plots.layout_slices import CRUMB_M2
from plots.models import LayoutProposal, Sowing
from plots.rotation.proposals import answer_from, problem_from
from plots.selectors import season_name
from plots.sowing_wishes import SowingWish
from schedules.sowing_services import sowings_plan
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
        laid = laid_out(problem, shares, pieces, kept_outlines(problem))
        _refuse_crowded(laid)
        planned = sowings_plan(
            site=plot.site, wishes=[each for share in laid for each in _wishes(share)],
            member=member, account=account, now=now,
        )  # fmt: skip
        row.adopted_at = now
        row.save(update_fields=["adopted_at"])
        note(plot, "layout.adopted", account=account, now=now, layout=row.pk, count=len(planned))
    return planned


def _where(laid: LaidShare) -> str:
    return f"{laid.piece.name}, {season_name(laid.piece.bed.plot.site, laid.wish.season)}, {laid.wish.name}"


def _refuse_crowded(laid: Sequence[LaidShare]) -> None:
    faults = Faults()
    for each in laid:
        if not each.is_kept and not each.outlines and each.area_m2 > 2 * CRUMB_M2:
            faults.add(
                "layout",
                f"{_where(each)}: there is no ground left on the bed beside what is planned there",
            )
    faults.refuse()


def _wishes(laid: LaidShare) -> Iterator[tuple[str, SowingWish]]:
    if not laid.is_kept:
        for outline in laid.outlines:
            bed = laid.piece.bed
            yield _where(laid), SowingWish(bed.plot, bed, laid.wish.crop, laid.wish.season, outline)
