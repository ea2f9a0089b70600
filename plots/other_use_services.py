"""Entering what grew and is no crop of the list, and withdrawing what was entered wrongly."""

from datetime import datetime

from django.core.exceptions import ValidationError

from plots.changes import Faults, note, row_check, site_held
from plots.ground_places import GroundPlace
from plots.ground_services import current_season, touched_ground_check
from plots.models import OtherUse
from plots.other_use_families import families_offered
from plots.selectors import season_name
from society.models import Account, Member

LONGEST_NOTE = 400
LONGEST_NAME = 60
OLDEST_SEASONS = 100


def other_use_add(
    *,
    place: GroundPlace,
    name: str,
    family: str,
    first_season: int,
    last_season: int | None = None,
    is_root: bool = False,
    is_coarse: bool = False,
    words: str = "",
    member: Member | None,
    account: Account | None,
    now: datetime,
) -> OtherUse:
    """Enter a green manure or a crop by its family, and judge that ground again at once."""
    site = place.plot.site
    with site_held(site):
        use = OtherUse(
            **place.columns,
            name=" ".join(name.split()),
            family=family,
            is_root=is_root,
            is_coarse=is_coarse,
            first_season=first_season,
            last_season=first_season if last_season is None else last_season,
            note=" ".join(words.split()),
            member=member,
            made_at=now,
        )
        _refuse(use, current_season(site, now))
        row_check(use)
        use.save()
        note(
            use, "other_use.added", account=account, now=now,
            plot=place.plot.pk, family=family, season=use.first_season,
        )  # fmt: skip
        touched_ground_check(site=site, ground=use, now=now)
    return use


def other_use_withdraw(*, use: OtherUse, account: Account | None, now: datetime) -> OtherUse:
    """Let an entry count no more. It is kept, and the ground is judged again at once."""
    with site_held(use.site):
        fresh = OtherUse.objects.select_related("site__society", "plot").get(pk=use.pk)
        if fresh.withdrawn_at is not None:
            raise ValidationError({"use": "it was withdrawn already; nothing is left to do"})
        fresh.withdrawn_at = now
        fresh.save(update_fields=["withdrawn_at"])
        note(
            fresh, "other_use.withdrawn", account=account, now=now,
            plot=fresh.plot_id, family=fresh.family, season=fresh.first_season,
        )  # fmt: skip
        touched_ground_check(site=fresh.site, ground=fresh, now=now)
    return fresh


def _refuse(use: OtherUse, present: int) -> None:
    faults = Faults()
    if not use.name:
        faults.add("name", "say what grew, like mustard")
    elif len(use.name) > LONGEST_NAME:
        faults.add("name", f"say it in {LONGEST_NAME} letters; these are {len(use.name)}")
    if use.family not in families_offered():
        faults.add("family", f"{use.family!r} is not on the list; choose one of its lines")
    if not present - OLDEST_SEASONS <= use.first_season <= present + 1:
        faults.add(
            "first_season",
            f"{use.first_season} is too far off; give a season to {season_name(use.site, present + 1)}",
        )
    elif not use.first_season <= use.last_season <= present + 1:
        faults.add(
            "last_season",
            f"give a season from {season_name(use.site, use.first_season)}, its first, "
            f"to {season_name(use.site, present + 1)}",
        )
    if len(use.note) > LONGEST_NOTE:
        faults.add("words", f"say it in {LONGEST_NOTE} letters; these are {len(use.note)}")
    faults.refuse()
