"""Writing drafts of old records: patches with their sowings, other uses, sightings. Within a transaction."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.db.models import F

from plots.models import HowSure, OtherUse, Patch, Plot, Sighting, Site, Sowing
from plots.models.outlined import Outlined
from plots.record_drafts import Draft, Kind
from plots.selectors import season_begins
from society.models import Member

AT_ONCE = 500
Row = TypeVar("Row", bound=Outlined)


def drafts_write(site: Site, drafts: Sequence[Draft], *, member: Member | None, now: datetime) -> None:
    """Write everything; the caller holds the site and judges its ground afterwards."""
    _sowings(site, [draft for draft in drafts if draft.kind is Kind.SOWING])
    others = [_other(site, draft, member, now) for draft in drafts if draft.kind is Kind.OTHER]
    OtherUse.objects.bulk_create(others, batch_size=AT_ONCE)
    seen = [_sighting(site, draft, member, now) for draft in drafts if draft.kind is Kind.SIGHTING]
    Sighting.objects.bulk_create(seen, batch_size=AT_ONCE)


def record_since_write(since: Mapping[Plot, int]) -> None:
    """Take the record of these plots as complete from a season on."""
    for plot, season in since.items():
        Plot.objects.filter(pk=plot.pk).update(record_since=season, version=F("version") + 1)


def _sowings(site: Site, drafts: Sequence[Draft]) -> None:
    patches = [_laid(Patch(**_ground(site, draft), is_coarse=draft.ground.is_coarse)) for draft in drafts]
    Patch.objects.bulk_create(patches, batch_size=AT_ONCE)
    sowings = [_sowing(draft, patch) for draft, patch in zip(drafts, patches, strict=True)]
    Sowing.objects.bulk_create(sowings, batch_size=AT_ONCE)


def _sowing(draft: Draft, patch: Patch) -> Sowing:
    state = Sowing.State.CLEARED if draft.failed else Sowing.State.LIFTED
    return Sowing(
        patch=patch,
        crop=draft.name,
        variety=draft.variety,
        season=draft.first,
        last_season=draft.last,
        state=Sowing.State.SOWN if draft.stands else state,
        sow_on=draft.begun_on,
        sown_on=draft.begun_on,
        ended_on=draft.ended_on,
    )


def _other(site: Site, draft: Draft, member: Member | None, now: datetime) -> OtherUse:
    assert draft.what is not None
    row = OtherUse(
        **_ground(site, draft),
        is_coarse=draft.ground.is_coarse,
        name=draft.what.name,
        family=draft.what.family,
        is_root=draft.what.is_root,
        first_season=draft.first,
        last_season=draft.last,
        note=draft.note,
        member=member,
        made_at=now,
    )
    return _laid(row)


def _sighting(site: Site, draft: Draft, member: Member | None, now: datetime) -> Sighting:
    row = Sighting(
        **_ground(site, draft),
        problem=draft.name,
        # Without a day it counts from the season's first.
        seen_on=draft.begun_on or season_begins(site, draft.first),
        season=draft.first,
        how_sure=HowSure.CERTAIN if draft.is_sure else HowSure.THINK,
        is_sure=draft.is_sure,
        confirmed_by=member if draft.is_sure else None,
        confirmed_at=now if draft.is_sure else None,
        note=draft.note,
        member=member,
        made_at=now,
    )
    return _laid(row)


def _ground(site: Site, draft: Draft) -> dict[str, Any]:
    ground = draft.ground
    return {"site": site, "plot": ground.plot, "bed": ground.bed, "outline": ground.outline}


def _laid(row: Row) -> Row:
    """With its box and area, which `save` would measure."""
    row.measure()
    return row
