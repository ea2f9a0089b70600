"""The question that a plot's wishes and its ground ask, as the pure package takes it. Nothing here writes."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Q

from plots.crops import UnknownCrop
from plots.crops import crop as crop_of
from plots.ground_columns import box_round, is_root
from plots.ground_selectors import GroundRecord, ground_record
from plots.layout_dressings import dressings_near, shuns
from plots.layout_pieces import LayoutPiece, pieces_of
from plots.layout_standing import standing_on
from plots.models import LayoutAsk, LayoutPlace, LayoutWish, Patch, Plot, Sowing
from plots.rotation.proposals import Asked, Bar, Dressing, Place, Problem, problem_of
from plots.rotation.proposals.wording import LEAST_TOLD_M2

LIKINGS = {LayoutPlace.Kind.LIKES: 1.0, LayoutPlace.Kind.DISLIKES: -1.0}


@dataclass(frozen=True, slots=True)
class Question:
    """A problem with the pieces that its keys name, and digests of what was asked and what was on record."""

    problem: Problem
    pieces: Sequence[LayoutPiece]
    asked_mark: str
    ground_mark: str


def ask_of(plot: Plot) -> LayoutAsk | None:
    return LayoutAsk.objects.filter(plot=plot).first()


def wishes_in(ask: LayoutAsk) -> list[LayoutWish]:
    """The wishes for the seasons that are asked for."""
    rows = LayoutWish.objects.filter(plot=ask.plot_id, season__range=(ask.first_season, ask.last_season))
    return list(rows.order_by("season", "pk"))


def wish_key(season: int, crop_key: str) -> str:
    return f"{season}:{crop_key}"


def question(plot: Plot, ask: LayoutAsk, *, current_season: int) -> Question:
    """Gather wishes, beds and everything on record. About a dozen queries, however much has grown there."""
    wishes = wishes_in(ask)
    places = list(LayoutPlace.objects.filter(plot=plot).order_by("pk"))
    pieces = pieces_of(plot, ask)
    ground, record, dressings, coming = _on_record(plot, ask, pieces, current_season)
    standing = standing_on(pieces, coming, first=ask.first_season, last=ask.last_season)
    asked = list(_asked_still(wishes, coming, plot))
    open_wishes = [
        wish for wish in wishes if wish_key(wish.season, wish.crop) in {each.key for each in asked}
    ]
    problem = problem_of(
        [piece.ground for piece in pieces],
        asked,
        ground,
        record_since=plot.record_since,
        sightings=record.sightings if record else (),
        dressings=dressings,
        standing=standing,
        closed=_closed(pieces, open_wishes),
        customs=record.customs if record else None,
        fixed=_settled(pieces, open_wishes, places),
        likes=_likes(pieces, open_wishes, places),
    )
    return Question(problem, pieces, _asked_mark(ask, wishes, places, pieces), _ground_mark(problem))


def _asked_still(wishes: Sequence[LayoutWish], coming: Sequence[Sowing], plot: Plot) -> Iterator[Asked]:
    """The wishes less what is planned or sown of the same crop in the same season on this plot."""
    planned: dict[tuple[int, str], float] = defaultdict(float)
    for row in coming:
        if row.patch.plot_id == plot.pk:
            planned[row.season, row.crop] += row.patch.area_m2
    for wish in wishes:
        asked = _asked(wish)
        left_m2 = wish.area_m2 - planned[wish.season, wish.crop]
        if left_m2 >= min(LEAST_TOLD_M2, wish.area_m2):
            yield replace(asked, area_m2=round(left_m2, 6))


def _asked(wish: LayoutWish) -> Asked:
    crop = crop_of(wish.crop)
    return Asked(
        key=wish_key(wish.season, crop.key),
        season=wish.season,
        crop_key=crop.key,
        name=crop.name_in_text,
        family=crop.family,
        area_m2=wish.area_m2,
        is_root=is_root(crop),
        shuns=shuns(crop),
        weight=wish.weight,
    )


def _on_record(
    plot: Plot, ask: LayoutAsk, pieces: Sequence[LayoutPiece], current_season: int
) -> tuple[list[Any], GroundRecord | None, list[Dressing], list[Sowing]]:
    """Past uses without what is there in the coming seasons, which stands in a list of its own."""
    if not pieces:
        return [], None, [], []
    drafts = [
        _draft(plot, piece, season) for piece in pieces for season in (ask.first_season, ask.last_season)
    ]
    record = ground_record(plot.site, wanted=drafts, current_season=current_season, every_family=True)
    box = box_round(draft.patch for draft in drafts)
    rows = _coming(plot, ask, box.meets("patch__"))
    kept = {str(row.key) for row in rows}
    past = [use for use in record.uses if use.key not in kept]
    return past, record, dressings_near(plot.site, box, first_season=ask.first_season), rows


def _draft(plot: Plot, piece: LayoutPiece, season: int) -> Sowing:
    """Ground and season are what the record is asked for; the crop counts for nothing there."""
    patch = Patch(site=plot.site, plot=plot, bed=piece.bed, outline=piece.outline)
    patch.measure()
    return Sowing(patch=patch, crop="carrot-early", season=season, last_season=season)


def _coming(plot: Plot, ask: LayoutAsk, near: Q) -> list[Sowing]:
    """What is planned for the seasons asked for, or stands into them; perennials stand on."""
    rows = Sowing.objects.filter(
        near,
        patch__site=plot.site,
        season__lte=ask.last_season,
        state__in=[Sowing.State.PLANNED, Sowing.State.SOWN],
    ).select_related("patch")
    return [row for row in rows.order_by("pk") if row.last_season >= ask.first_season or _stands_on(row)]


def _stands_on(row: Sowing) -> bool:
    try:
        return row.state == Sowing.State.SOWN and crop_of(row.crop).is_perennial
    except UnknownCrop:
        return False


def _closed(pieces: Sequence[LayoutPiece], wishes: Sequence[LayoutWish]) -> Iterable[Bar]:
    """Beds are given out only in seasons through which they are there."""
    for piece in pieces:
        for wish in wishes:
            if not piece.is_there(wish.season):
                yield Bar(piece.key, wish_key(wish.season, wish.crop), "closed")


def _where(
    pieces: Sequence[LayoutPiece], wishes: Sequence[LayoutWish], place: LayoutPlace
) -> list[tuple[LayoutPiece, LayoutWish]]:
    return [
        (piece, wish)
        for piece in pieces
        for wish in wishes
        if piece.bed.pk == place.bed_id
        and place.strip in {0, piece.strip}
        and place.crop == wish.crop
        and place.season in {None, wish.season}
    ]


def _likes(
    pieces: Sequence[LayoutPiece], wishes: Sequence[LayoutWish], places: Sequence[LayoutPlace]
) -> dict[Place, float]:
    return {
        Place(piece.key, wish_key(wish.season, wish.crop)): LIKINGS[LayoutPlace.Kind(place.kind)]
        for place in places
        if place.kind in LIKINGS
        for piece, wish in _where(pieces, wishes, place)
    }


def _settled(
    pieces: Sequence[LayoutPiece], wishes: Sequence[LayoutWish], places: Sequence[LayoutPlace]
) -> list[Place]:
    found: list[Place] = []
    for place in places:
        if place.kind != LayoutPlace.Kind.SETTLED:
            continue
        # Settled on a bed of several strips means its first: which one is then the growers' to say.
        seen: set[str] = set()
        for piece, wish in _where(pieces, wishes, place):
            key = wish_key(wish.season, wish.crop)
            if key not in seen and piece.is_there(wish.season):
                seen.add(key)
                found.append(Place(piece.key, key))
    return list(dict.fromkeys(found))


def _digest(said: Any) -> str:
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def _asked_mark(
    ask: LayoutAsk,
    wishes: Sequence[LayoutWish],
    places: Sequence[LayoutPlace],
    pieces: Sequence[LayoutPiece],
) -> str:
    return _digest(
        [
            [ask.first_season, ask.seasons],
            [[each.season, each.crop, each.area_m2, each.weight] for each in wishes],
            [[each.crop, each.bed_id, each.strip, each.season, each.kind] for each in places],
            [piece.key for piece in pieces],
        ]
    )


def _ground_mark(problem: Problem) -> str:
    """What the ground says to these wishes: a change on record that means nothing to them is none."""
    kept = [wish for wish in problem.wishes if wish.stand]
    return _digest(
        [
            [[each.key, round(each.area_m2, 3)] for each in problem.pieces],
            sorted([bar.piece, bar.wish, bar.why, bar.until or 0] for bar in problem.bars),
            sorted(list(place) for place in problem.under_recommended),
            [[each.key, each.season, each.crop, round(each.area_m2, 3)] for each in kept],
            sorted({(*rest,) for wish in problem.wishes for rest in wish.rests}),
        ]
    )
