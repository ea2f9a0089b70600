"""Keeping a society's own rules for its ground."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from plots.changes import Faults, note, refuse_stale
from plots.ground_services import society_ground_check
from plots.models import GroundCustoms, SocietyRest
from plots.rotation import CustomFault, RestWish, adapted, rest_rules
from plots.rotation.rest_rules import LONGEST_REST_SEASONS
from society.models import Account, Society

LONGEST_REASON = 400


def customs_row(society: Society) -> GroundCustoms:
    """What is kept, or what holds where nothing was ever decided."""
    return GroundCustoms.objects.filter(society=society).first() or GroundCustoms(society=society)


def customs_save(
    *,
    society: Society,
    rests: Mapping[str, RestWish],
    root_after_root_seasons: int,
    failed_counts: bool,
    version: int | None,
    account: Account | None,
    now: datetime,
) -> GroundCustoms:
    """Keep the rules whole, in place of those before, and judge every site again.

    A rest equal to the published one is no rule of the society's own, and is not kept.
    """
    with transaction.atomic():
        Society.objects.select_for_update().get(pk=society.pk)
        row = customs_row(society)
        refuse_stale(row, version)
        own = {family: wish for family, wish in rests.items() if _differs(family, wish)}
        _refuse(rests, root_after_root_seasons)
        was = {each.family: _seasons(each) for each in society.rests.all()}
        row.root_after_root_seasons, row.failed_counts = root_after_root_seasons, failed_counts
        row.version += 1
        row.save()
        society.rests.all().delete()
        SocietyRest.objects.bulk_create(
            SocietyRest(
                society=society,
                family=family,
                minimum_seasons=wish.minimum_seasons,
                recommended_seasons=wish.recommended_seasons,
                because=" ".join(wish.because.split()),
            )
            for family, wish in sorted(own.items())
        )
        note(
            row, "customs.changed", account=account, now=now, version=row.version, was=was,
            rests={family: _seasons(wish) for family, wish in sorted(own.items())},
            root_after_root_seasons=root_after_root_seasons, failed_counts=failed_counts,
            fields=["rests", "root_after_root_seasons", "failed_counts"],
        )  # fmt: skip
    society_ground_check(society=society, now=now)
    return row


def _seasons(rest: RestWish | SocietyRest) -> list[int]:
    return [rest.minimum_seasons, rest.recommended_seasons]


def _differs(family: str, wish: RestWish) -> bool:
    rule = rest_rules().get(family)
    return rule is None or (wish.minimum_seasons, wish.recommended_seasons) != (
        rule.minimum_seasons,
        rule.recommended_seasons,
    )


def _refuse(rests: Mapping[str, RestWish], root_after_root_seasons: int) -> None:
    faults = Faults()
    for family, wish in rests.items():
        rule = rest_rules().get(family)
        if rule is None:
            faults.add(family, "no rest is published for this family, so it is not judged; leave it out")
            continue
        try:
            adapted(rule, wish)
        except CustomFault as fault:
            faults.add(family, str(fault).removeprefix(f"{family}: "))
        if len(wish.because) > LONGEST_REASON:
            faults.add(family, f"say the reason in {LONGEST_REASON} letters; these are {len(wish.because)}")
    if not 0 <= root_after_root_seasons <= LONGEST_REST_SEASONS:
        faults.add("root_after_root_seasons", f"give 0 to {LONGEST_REST_SEASONS} seasons; 0 leaves it off")
    faults.refuse()
