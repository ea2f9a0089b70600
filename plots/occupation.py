"""What else is in the ground, or planned to be, at the time of a wanted sowing. Nothing here writes.

One rule: ground is taken from the day something is sown until the day it is lifted or cleared. Where those
days are still to come, the season counts, unless a plan says by when the ground is free. A perennial keeps
its ground until somebody records that it is out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from plots.crops import UnknownCrop
from plots.crops import crop as crop_of
from plots.models import Site, Sowing
from plots.outlines import Corners, polygon
from plots.placing import overlap_m2
from society.dates import date_words


@dataclass(frozen=True, slots=True)
class Stay:
    """How long a wanted sowing needs its ground.

    ``starts`` is the first day on which it may be sown; ``is_fixed`` says that it is that very day.
    ``free_by`` holds, for other sowings, the day by which their plans have them lifted; ``ends`` the same
    for this one, None when its plan is not known yet.
    """

    season: int
    starts: date
    is_fixed: bool
    current_season: int
    today: date
    ends: date | None = None
    free_by: Mapping[int, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Clash:
    """A sowing that has the ground already, and how much of it."""

    sowing: Sowing
    area_m2: float
    free_by: date | None


def clashes(site: Site, outline: Corners, stay: Stay, *, but: Sowing | None = None) -> list[Clash]:
    """Sowings in the way, the largest overlap first. One query, whatever the ground has seen."""
    min_x, min_y, max_x, max_y = polygon(outline).bounds
    rows = Sowing.objects.filter(
        patch__site=site,
        patch__min_x__lte=max_x,
        patch__max_x__gte=min_x,
        patch__min_y__lte=max_y,
        patch__max_y__gte=min_y,
    ).select_related("patch__bed", "patch__plot")
    if but is not None and but.pk is not None:
        rows = rows.exclude(pk=but.pk)
    found = []
    for sowing in rows:
        if is_in_the_way(sowing, stay):
            area_m2 = overlap_m2(outline, sowing.patch.outline)
            if area_m2:
                found.append(Clash(sowing, area_m2, stay.free_by.get(sowing.pk)))
    return sorted(found, key=lambda clash: -clash.area_m2)


def is_in_the_way(sowing: Sowing, stay: Stay) -> bool:
    """Whether a sowing has its ground while the wanted one needs it; the ground itself is not looked at."""
    if sowing.state in {Sowing.State.LIFTED, Sowing.State.CLEARED}:
        return _stood_then(sowing, stay)
    if _stands_for_years(sowing):
        return stay.season >= sowing.season and not _is_over_before(sowing, stay)
    if _is_over_before(sowing, stay):
        return False
    free_by = stay.free_by.get(sowing.pk)
    is_standing = sowing.state == Sowing.State.SOWN
    # What is late stands still: ground that should be free already is free tomorrow at the earliest.
    if free_by is not None and free_by <= stay.starts and (stay.starts > stay.today or not is_standing):
        return False
    if free_by is not None and stay.is_fixed and stay.starts < free_by and sowing.season < stay.season:
        return True  # its plan has it in the ground over the turn of the season
    if is_standing:
        return stay.season <= max(sowing.last_season, stay.current_season)
    return sowing.season <= stay.season <= sowing.last_season


def _stands_for_years(sowing: Sowing) -> bool:
    try:
        return crop_of(sowing.crop).is_perennial
    except UnknownCrop:
        return False


def _is_over_before(sowing: Sowing, stay: Stay) -> bool:
    """Whether the wanted sowing is out of the ground by the day on which a planned one goes in."""
    starts = sowing.sown_on or sowing.sow_on or sowing.not_before
    return stay.ends is not None and starts is not None and stay.ends <= starts


def _stood_then(sowing: Sowing, stay: Stay) -> bool:
    """Whether something lifted since stood there on the very day of sowing."""
    starts = sowing.sown_on or sowing.sow_on
    if starts is None or sowing.ended_on is None or not stay.is_fixed:
        return False
    return starts <= stay.starts < sowing.ended_on


def clash_words(clash: Clash) -> str:
    """'1.20 m² of it lie over Carrot, early, which stands there; …', with what can be done."""
    sowing, area = clash.sowing, f"{clash.area_m2:.2f} m² of it lie over {clash.sowing.crop_name}"
    if sowing.state == Sowing.State.SOWN:
        stays = " for years" if _stands_for_years(sowing) else ""
        head, remedy = f"{area}, which stands there{stays}", "move the patch, or lift or clear that first"
    elif sowing.state == Sowing.State.PLANNED:
        head = f"{area}, which is planned there for {sowing.season}"
        remedy = "move the patch, or move or withdraw that plan first"
    else:
        left = date_words(sowing.ended_on) if sowing.ended_on else "then"
        return f"{area}, which stood there until {left}; sow on that day or later, or move the patch"
    if clash.free_by is not None and not _stands_for_years(sowing):
        free = date_words(clash.free_by)
        remedy = f"{remedy}, or sow on {free} or later, when its plan has it out of the ground"
    return f"{head}; {remedy}"
