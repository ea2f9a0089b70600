"""A wanted sowing and everything that may be wrong with it, before anything is saved."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import assert_never

from django.core.exceptions import ValidationError

from plots.changes import Faults, local_day
from plots.crops import UnknownCrop
from plots.crops import crop as crop_of
from plots.models import Bed, Patch, Plot, Sowing
from plots.occupation import Stay, clash_words, clashes
from plots.outlines import Corners
from plots.placing import Strip, overhang_words, overhangs, strip_outline
from plots.selectors import season_begins, season_name, season_of
from plots.shapes import offset_faults, outline_of, sides_faults
from society.dates import date_words

COVERS = ("none", "clear", "black", "fleece", "film", "mesh")
MOST_SEASONS_AHEAD = 10

Place = Strip | Corners | None


@dataclass(frozen=True, slots=True)
class SowingWish:
    """What a grower wants to sow where and when.

    ``place`` is a strip in the frame of the bed (of the plot, without a bed), an outline in the site's
    frame, or None for the whole of the bed. ``season`` None means that of the day of sowing.
    """

    plot: Plot
    bed: Bed | None
    crop_key: str
    season: int | None = None
    place: Place = None
    sow_on: date | None = None
    not_before: date | None = None
    cover: str = "none"
    variety: str = ""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What plans say of the ground: by when other sowings, by key, are lifted; by when this one would be."""

    free_by: Mapping[int, date] = field(default_factory=dict)
    ends: date | None = None


# Asked with the unsaved sowing, so that its own plan can say by when its ground is free again.
Around = Callable[[Sowing], Surroundings]


def sowing_drafted(
    wish: SowingWish,
    *,
    now: datetime,
    around: Around | None = None,
    but: Sowing | None = None,
    keeps_ground: bool = False,
) -> Sowing:
    """The wish as an unsaved sowing on an unsaved patch; ValidationError says all that is wrong, by field.

    ``but`` is the sowing that is being changed: it is not in its own way. ``keeps_ground`` says that neither
    its ground nor its days change, so that a bed reshaped since does not stand in the way of a new variety.
    """
    today = local_day(wish.plot.site, now)
    faults = Faults()
    _check_words(wish, faults)
    if keeps_ground and but is not None:
        faults.refuse()
        return _draft(wish, but.season, but.patch.outline)
    season = _checked_season(wish, faults, today, is_new=but is None)
    outline = _checked_outline(wish, faults)
    starts = _starts(wish, season, today)
    _check_bed(wish, faults, starts)
    faults.refuse()
    assert outline is not None  # a fault would have been raised
    draft = _draft(wish, season, outline)
    known = around(draft) if around else Surroundings()
    stay = Stay(
        season=season,
        starts=starts,
        is_fixed=wish.sow_on is not None,
        current_season=season_of(wish.plot.site, today),
        today=today,
        ends=known.ends,
        free_by=known.free_by,
    )
    for clash in clashes(wish.plot.site, outline, stay, but=but):
        faults.add("place", clash_words(clash))
    faults.refuse()
    return draft


def _draft(wish: SowingWish, season: int, outline: Corners) -> Sowing:
    patch = Patch(site=wish.plot.site, plot=wish.plot, bed=wish.bed, outline=outline)
    patch.measure()
    return Sowing(
        patch=patch,
        crop=wish.crop_key,
        variety=wish.variety.strip(),
        season=season,
        last_season=season,
        sow_on=wish.sow_on,
        not_before=wish.not_before,
        cover=wish.cover,
    )


def _check_words(wish: SowingWish, faults: Faults) -> None:
    try:
        crop_of(wish.crop_key)
    except UnknownCrop as fault:
        faults.add("crop_key", str(fault))
    if wish.cover not in COVERS:
        faults.add("cover", f"{wish.cover!r} is none of: {', '.join(COVERS)}")
    longest = Sowing._meta.get_field("variety").max_length or 0
    if len(wish.variety.strip()) > longest:
        faults.add("variety", f"a variety's name has at most {longest} letters; shorten it")


def _checked_season(wish: SowingWish, faults: Faults, today: date, *, is_new: bool) -> int:
    site = wish.plot.site
    current = season_of(site, today)
    if wish.sow_on and wish.not_before and wish.not_before > wish.sow_on:
        faults.add(
            "not_before", f"{wish.not_before} is after the day of sowing, {wish.sow_on}; leave it empty"
        )
    day = wish.sow_on or wish.not_before
    season = wish.season if wish.season is not None else season_of(site, day or today)
    if abs(season - current) > MOST_SEASONS_AHEAD:
        faults.add("season", f"{season} is too far off; give a season near {season_name(site, current)}")
    elif day and season_of(site, day) != season:
        name = "sow_on" if wish.sow_on else "not_before"
        first, next_first = season_begins(site, season), season_begins(site, season + 1)
        faults.add(
            name,
            f"{day} is not in the season {season_name(site, season)}; give a day from {first} to before "
            f"{next_first}, or choose the season {season_name(site, season_of(site, day))}",
        )
    elif is_new and season < current and wish.sow_on is None:
        faults.add(
            "season",
            f"the season {season_name(site, season)} is over; choose {season_name(site, current)} or later, "
            "or give the day on which it was sown",
        )
    return season


def _starts(wish: SowingWish, season: int, today: date) -> date:
    """The first day on which the sowing may come into the ground."""
    if wish.sow_on is not None:
        return wish.sow_on
    begins = date(max(date.min.year + 1, min(season, date.max.year - 1)), 1, 1)
    site = wish.plot.site
    begins = begins.replace(month=site.season_month, day=site.season_day)
    return max(begins, today, wish.not_before or begins)


def _checked_outline(wish: SowingWish, faults: Faults) -> Corners | None:
    """Where the patch would lie; faults where it makes no ground or sticks out."""
    ground = wish.bed.outline if wish.bed else wish.plot.outline
    try:
        outline = _outline(wish.place, ground)
    except ValidationError as fault:
        faults.take(fault)
        return None
    if wish.place is None and wish.bed is None:
        faults.add("place", "without a bed, say where on the plot: a strip or corners")
        return None
    out = overhangs(ground, outline)
    if out:
        where = wish.bed.name if wish.bed else f"plot {wish.plot.number}"
        faults.add(
            "place", f"it would stick out {overhang_words(out)} of {where}; move it or make it smaller"
        )
    return outline


def _outline(place: Place, ground: Corners) -> Corners:
    match place:
        case None:
            return ground
        case Strip():
            wrong = sides_faults(length_m=place.length_m, width_m=place.width_m)
            wrong |= offset_faults(along_m=place.along_m, across_m=place.across_m)
            if wrong:
                raise ValidationError(wrong)
            return strip_outline(ground, place)
        case list():
            try:
                return outline_of(place)
            except ValidationError as fault:
                raise ValidationError({"place": fault.messages}) from None
        case _:
            assert_never(place)


def _check_bed(wish: SowingWish, faults: Faults, starts: date) -> None:
    plot, bed, day = wish.plot, wish.bed, date_words(starts)
    if starts < plot.laid_out_on or (plot.given_up_on and starts >= plot.given_up_on):
        faults.add("plot", f"plot {plot.number} is no plot on {day}; choose another day or plot")
    if bed is None:
        return
    if bed.plot_id != plot.pk:
        faults.add("bed", f"{bed.name} is not on plot {plot.number}; choose one of its beds")
    if starts < bed.since:
        there = f"{bed.name} is there from {date_words(bed.since)} on"
        faults.add("bed", f"{there}, not on {day}; sow then or later")
    if bed.until and starts >= bed.until:
        faults.add(
            "bed", f"{bed.name} was closed on {date_words(bed.until)}; choose a bed that is there then"
        )
