"""Plots halved and merged: old rows end on a day, new ones begin on it; the record stays on its ground."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal

from plots.bed_digging import patches_follow
from plots.changes import note, refuse_stale, row_change, site_held
from plots.ground_services import ground_check
from plots.models import Bed, CoWorker, Patch, Plot, Tenancy
from plots.outlines import Corners
from plots.plot_drafts import Parting, halves_drafted, merged_drafted
from plots.tenancy_services import holders_add
from society.models import Account


def plot_halve(
    *,
    plot: Plot,
    outlines: Sequence[Corners],
    numbers: Sequence[str],
    keeper: int | None = None,
    rent_due: Decimal | None = None,
    on: date,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Parting:
    """Make two plots of one.

    1. Beds close on that day and begin again on the new plots; one across the line becomes two.
    2. What stands or is planned counts for the plot that holds its patch; a patch across the line refuses it.
    3. A running tenancy ends, and goes on upon the half that is its ``keeper``, helpers with it; without one
       a held plot is refused. The rent stays as agreed unless ``rent_due`` says otherwise.
    """
    with site_held(plot.site):
        [fresh] = _fresh([plot], {plot.pk: version})
        parting = halves_drafted(
            plot=fresh, outlines=outlines, numbers=numbers, keeper=keeper, on=on, now=now
        )
        return _part(parting, rent_due, action="plot.halved", account=account, now=now)


def plots_merge(
    *,
    plots: Sequence[Plot],
    number: str,
    rent_due: Decimal | None = None,
    on: date,
    versions: Mapping[int, int | None] | None = None,
    account: Account | None,
    now: datetime,
) -> Parting:
    """Make one plot of two that adjoin; the same rules as for halving."""
    with site_held(plots[0].site):
        parting = merged_drafted(plots=_fresh(plots, versions or {}), number=number, on=on, now=now)
        return _part(parting, rent_due, action="plot.merged", account=account, now=now)


def _fresh(plots: Sequence[Plot], versions: Mapping[int, int | None]) -> list[Plot]:
    found = [Plot.objects.select_related("site").get(pk=plot.pk) for plot in plots]
    for plot in found:
        refuse_stale(plot, versions.get(plot.pk))
    return found


def _part(
    parting: Parting, rent_due: Decimal | None, *, action: str, account: Account | None, now: datetime
) -> Parting:
    on = parting.on
    for plot in parting.making:
        plot.save()
    made = [plot.pk for plot in parting.making]
    for plot in parting.ending:
        row_change(plot, {"given_up_on": on}, action=action, account=account, now=now, values={"plots": made})
    for plot in parting.making:
        note(plot, "plot.created", account=account, now=now, site=plot.site_id, area_m2=plot.area_m2)
    _lay_beds(parting, account=account, now=now)
    _count_anew(parting)
    if parting.keeper is not None:
        _hold_on(parting, parting.making[parting.keeper], rent_due, account=account, now=now)
    else:
        CoWorker.objects.filter(plot__in=parting.ending, until__isnull=True, since__lte=on).update(until=on)
    for plot in parting.making:
        ground_check(site=plot.site, plot=plot, now=now)
    return parting


def _lay_beds(parting: Parting, *, account: Account | None, now: datetime) -> None:
    closed = {new.was.pk: new.was for new in parting.beds}
    lasting = Bed.objects.filter(plot__in=parting.ending, until__isnull=True)
    carried = {bed.pk for bed, _ in parting.carried}
    for bed in lasting.exclude(pk__in=carried):  # also those of which too little is left to be a bed
        closed[bed.pk] = row_change(bed, {"until": parting.on}, action="bed.closed", account=account, now=now)
    laid = []
    for new in parting.beds:
        plan = new.plan
        bed = Bed(
            plot=parting.making[new.which], name=plan.name, outline=plan.outline, kind=plan.kind,
            height_m=plan.height_m, soil=plan.soil, since=parting.on,
        )  # fmt: skip
        bed.save()
        laid.append(bed)
        note(
            bed, "bed.created", account=account, now=now, plot=bed.plot_id, since=parting.on,
            instead_of=[new.was.pk],
        )  # fmt: skip
    patches_follow(list(closed.values()), laid)
    for bed, which in parting.carried:
        row_change(
            bed, {"plot": parting.making[which]}, action="bed.rehomed", account=account, now=now,
            values={"plot": parting.making[which].pk},
        )  # fmt: skip


def _count_anew(parting: Parting) -> None:
    """What is still open counts for the new plots; its polygon stays as it was."""
    for which, plot in enumerate(parting.making):
        rows = [row.patch_id for row, home in parting.standing if home == which]
        Patch.objects.filter(pk__in=rows).update(plot=plot)


def _hold_on(
    parting: Parting, plot: Plot, rent_due: Decimal | None, *, account: Account | None, now: datetime
) -> None:
    """One tenancy on the new plot, since the day it was made; on the terms agreed, but for another rent."""
    first = parting.tenancies[0]
    members = list(first.holders.order_by("pk"))
    people = [member.pk for member in members]
    rents = [each.rent_due for each in parting.tenancies if each.rent_due is not None]
    deposits = [each.deposit for each in parting.tenancies if each.deposit is not None]
    for each in parting.tenancies:
        row_change(
            each, {"until": parting.on, "ended_because": Tenancy.Ended.MOVED}, action="tenancy.ended",
            account=account, now=now, values={"members": people},
        )  # fmt: skip
    paid = [each.rent_paid_on for each in parting.tenancies]
    tenancy = Tenancy.objects.create(
        plot=plot,
        since=parting.on,
        rent_due=rent_due if rent_due is not None else sum(rents) if rents else None,
        rent_paid_on=min(day for day in paid if day) if all(paid) and rent_due is None else None,
        deposit=sum(deposits) if deposits else None,
        key_note="; ".join(dict.fromkeys(each.key_note for each in parting.tenancies if each.key_note))[:80],
    )
    holders_add(tenancy, members)
    note(
        tenancy, "tenancy.continued", account=account, now=now, plot=plot.pk, members=people,
        since=parting.on,
    )  # fmt: skip
    helping = CoWorker.objects.filter(plot__in=parting.ending, until__isnull=True, since__lte=parting.on)
    helpers = list(dict.fromkeys(helping.order_by("pk").values_list("member_id", flat=True)))
    helping.update(until=parting.on)
    CoWorker.objects.bulk_create(
        CoWorker(plot=plot, member_id=pk, since=parting.on) for pk in helpers if pk not in people
    )
