"""An invented society with ten seasons on record, in the database of the settings: its ground alone.

Twelve patches a plot and season in one of three layouts, so that old beds and new ones cross.
"""

import uuid
from collections.abc import Iterator
from datetime import UTC, date, datetime
from random import Random
from typing import Any

from plots.crops import crops
from plots.models import Patch, Plot, Sighting, Site, Sowing
from plots.outlines import Corners, rectangle
from schedules.bulk_rows import rows_insert
from society.models import Society

A_PLOT, SEASONS = 12, 10
SEASON = 2027
MADE_AT = datetime(2027, 1, 5, 18, tzinfo=UTC)
PLOTS_AT_ONCE = 500


def lay_out(plots: int) -> Site:
    society = Society.objects.create(name="Old Lane", zone="Europe/London")
    site = Site.objects.create(
        society=society, name="Old Lane", slug="old-lane", latitude=52.2, longitude=0.1, zone="Europe/London"
    )
    dice = Random(f"{plots} old plots")
    across = max(1, round(plots**0.5))
    rows_insert(
        Plot,
        ("site", "number", "outline", "area_m2", "laid_out_on", "record_since", "version"),
        [
            (site.pk, str(at + 1), str(_plot(at, across)), 160, date(2001, 1, 1), SEASON - SEASONS + 1, 1)
            for at in range(plots)
        ],
    )
    keys = list(Plot.objects.order_by("pk").values_list("pk", flat=True))
    for at in range(0, plots, PLOTS_AT_ONCE):
        _seasons(site, keys[at : at + PLOTS_AT_ONCE], at, across, dice)
    _sightings(site, dice)
    return site


def _corner(at: int, across: int) -> tuple[float, float]:
    return (at % across) * 22.0, (at // across) * 10.0


def _plot(at: int, across: int) -> Corners:
    return rectangle(_corner(at, across), length_m=20, width_m=8)


def bed(at: int, plots: int, place: int) -> Corners:
    """One of a plot's beds as they lie at last, across it."""
    return _patch(at, max(1, round(plots**0.5)), 0, place)


def _patch(at: int, across: int, layout: int, place: int) -> Corners:
    """Beds across the plot, the same half a bed further on, or three by four along it."""
    east, north = _corner(at, across)
    if layout < 2:
        corner = (east + place * 1.6 + layout * 0.6, north + 0.2)
        return rectangle(corner, length_m=1.1, width_m=7.6)
    corner = (east + (place % 3) * 6.6 + 0.2, north + (place // 3) * 1.9 + 0.2)
    return rectangle(corner, length_m=6.2, width_m=1.4)


def _seasons(site: Site, plots: list[int], first: int, across: int, dice: Random) -> None:
    last = Patch.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    rows = []
    for at, plot in enumerate(plots, start=first):
        for season in range(SEASONS):
            for place in range(A_PLOT):
                corners = _patch(at, across, (season + at) % 3, place)
                xs, ys = [each[0] for each in corners], [each[1] for each in corners]
                box = (min(xs), min(ys), max(xs), max(ys))
                rows.append((site.pk, plot, str(corners), False, *box, (box[2] - box[0]) * (box[3] - box[1])))
    columns = ("site", "plot", "outline", "is_coarse", "min_x", "min_y", "max_x", "max_y", "area_m2")
    rows_insert(Patch, columns, rows)
    patches = Patch.objects.filter(pk__gt=last).order_by("pk").values_list("pk", flat=True)
    rows_insert(
        Sowing,
        ("key", "patch", "crop", "variety", "season", "last_season", "state", "cover", "version", "made_at"),
        list(_sowings(list(patches), dice)),
    )


def _sowings(patches: list[int], dice: Random) -> Iterator[tuple[Any, ...]]:
    keys = [crop.key for crop in crops()]
    for at, patch in enumerate(patches):
        season = SEASON - SEASONS + 1 + at // A_PLOT % SEASONS
        state = "planned" if season == SEASON else "lifted"
        key = str(uuid.UUID(int=dice.getrandbits(128)))
        yield key, patch, dice.choice(keys), "", season, season, state, "none", 1, MADE_AT


def _sightings(site: Site, dice: Random) -> None:
    """One problem on a plot in fifty."""
    for plot in Plot.objects.order_by("pk")[::50]:
        Sighting.objects.create(
            site=site,
            plot=plot,
            outline=plot.outline,
            problem=dice.choice(("clubroot", "white-rot", "root-knot-nematode")),
            seen_on=date(2022, 7, 1),
            season=2022,
            is_sure=dice.random() < 0.5,
            made_at=MADE_AT,
        )
