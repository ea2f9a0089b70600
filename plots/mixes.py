"""Potting mix: a container's is fresh when it is laid out, and again whenever fresh mix went in."""

from datetime import date
from functools import cached_property

from plots.models import BedKind, GroundEvent, GroundEventKind, Site
from plots.selectors import season_of


def vessel_of(bed_id: int | None, bed_kind: str | None) -> str:
    """The container that something stands in; empty on the ground."""
    return f"bed-{bed_id}" if bed_kind == BedKind.CONTAINER else ""


class Mixes:
    """The days on which fresh mix went into the containers of a site. One query, none without a container."""

    def __init__(self, site: Site) -> None:
        self._site = site

    def vessel(
        self, bed_id: int | None, bed_kind: str | None, *, last_season: int, ended_on: date | None = None
    ) -> str:
        """The mix that something stood or will stand in: one name for each filling of a container.

        Of a season without a day it is taken that the mix came first, so that nothing is called rested that
        may not be.
        """
        vessel = vessel_of(bed_id, bed_kind)
        if not vessel or bed_id is None:
            return vessel
        filled = sum(
            ended_on > day if ended_on is not None else last_season >= season_of(self._site, day)
            for day in self._fills.get(bed_id, ())
        )
        return f"{vessel}/{filled}" if filled else vessel

    @cached_property
    def _fills(self) -> dict[int, list[date]]:
        rows = GroundEvent.objects.filter(
            site=self._site, kind=GroundEventKind.MIX_FRESH, bed__isnull=False, withdrawn_at__isnull=True
        )
        found: dict[int, list[date]] = {}
        for bed, day in rows.order_by("on").values_list("bed_id", "on"):
            found.setdefault(bed, []).append(day)
        return found
