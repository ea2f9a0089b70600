"""Beds moved, turned, reshaped, split, joined and dug anew: old beds close on a day, new ones begin on it.

No patch is moved: what was grown, stands or is planned keeps its polygon, and the past hangs on that.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime

from plots.bed_checks import standing_asked
from plots.bed_drafts import BedPlan, Digging, beds_drafted
from plots.changes import note, refuse_stale, row_change, site_held
from plots.models import Bed, BedKind, Patch, Plot, Sowing
from plots.placing import overhangs
from plots.verdict_selectors import OPEN_STATES
from society.models import Account

# What became of the old beds, as the journal says it.
ACTIONS = ("bed.closed", "bed.moved", "bed.reshaped", "bed.split", "bed.joined", "bed.dug_anew")


def beds_dig(
    *,
    plot: Plot,
    closing: Sequence[Bed],
    plans: Sequence[BedPlan],
    on: date,
    action: str = "bed.closed",
    versions: Mapping[int, int | None] | None = None,
    standing_seen: Collection[int] = (),
    account: Account | None,
    now: datetime,
) -> Digging:
    """Close some beds and lay out others in their stead, all or nothing.

    1. Beds that changed since ``versions`` were read refuse it.
    2. What stands or is planned on the ground of any of them raises StandsThere until ``standing_seen``
       names all of it.
    3. What still stands or is planned goes under the new bed that holds all of its patch, else it stays with
       the closed one; the patch itself stays as it was.
    """
    if action not in ACTIONS:
        raise ValueError(f"{action!r} is none of: {', '.join(ACTIONS)}")
    with site_held(plot.site):
        plot = Plot.objects.select_related("site").get(pk=plot.pk)
        kept = [bed.pk for bed in closing]
        fresh = {bed.pk: bed for bed in Bed.objects.select_related("plot__site").filter(pk__in=kept)}
        for pk in kept:
            refuse_stale(fresh[pk], (versions or {}).get(pk))
        digging = beds_drafted(plot=plot, closing=[fresh[pk] for pk in kept], plans=plans, on=on, now=now)
        standing_asked(digging.standing, standing_seen)
        for bed in digging.closing:
            row_change(bed, {"until": on}, action=action, account=account, now=now)
        for bed in digging.laying:
            bed.save()
            note(
                bed, "bed.created", account=account, now=now, plot=plot.pk, since=on, instead_of=kept,
            )  # fmt: skip
        patches_follow(digging.closing, digging.laying)
        return digging


def patches_follow(closed: Sequence[Bed], laid: Sequence[Bed]) -> None:
    """Put what is still open in closed beds under the new bed that holds its whole patch, if one does."""
    open_there = Sowing.objects.filter(patch__bed__in=closed, state__in=OPEN_STATES)
    patches = Patch.objects.filter(pk__in=open_there.values("patch"), bed__in=closed)
    over = set(
        Sowing.objects.filter(patch__in=patches)
        .exclude(state__in=OPEN_STATES)
        .values_list("patch", flat=True)
    )
    for patch in patches:
        home = next(
            (
                bed
                for bed in laid
                if bed.kind != BedKind.CONTAINER and not overhangs(bed.outline, patch.outline)
            ),
            None,
        )
        if home is not None and patch.pk not in over:
            Patch.objects.filter(pk=patch.pk).update(bed=home)
