"""Where on its bed each share of a layout lies: side by side across the bed, beside what stands already."""

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from plots.layout_pieces import LayoutPiece
from plots.layout_slices import slices
from plots.models import Sowing
from plots.outlines import Corners
from plots.rotation.proposals import Problem, Share, Wish

STAND = re.compile(r"sowing (\d+)")


@dataclass(frozen=True, slots=True)
class LaidShare:
    """One wish on one piece: its outlines, or ``is_kept`` with that of the sowing that is there already."""

    piece: LayoutPiece
    wish: Wish
    area_m2: float
    outlines: Sequence[Corners]
    is_kept: bool


def kept_outlines(problem: Problem) -> dict[str, Corners]:
    """Ground of the sowings that stay, by the key of their wish; one withdrawn since has none. One query."""
    stands = {wish.key: int(found[1]) for wish in problem.wishes if (found := STAND.fullmatch(wish.stand))}
    rows = Sowing.objects.filter(pk__in=set(stands.values())).values_list("pk", "patch__outline")
    outlines: Mapping[int, Corners] = dict(rows)
    return {key: outlines[pk] for key, pk in stands.items() if pk in outlines}


def laid_out(
    problem: Problem,
    shares: Sequence[Share],
    pieces: Mapping[str, LayoutPiece],
    kept: Mapping[str, Corners],
) -> list[LaidShare]:
    """Lay every share on its piece, season by season, in the order of pieces and wishes."""
    wishes = {wish.key: wish for wish in problem.wishes}
    order = {wish.key: number for number, wish in enumerate(problem.wishes)}
    cells: dict[tuple[int, str], list[Share]] = defaultdict(list)
    for share in shares:
        if share.piece in pieces:
            cells[wishes[share.wish].season, share.piece].append(share)
    places = list(pieces)
    found: list[LaidShare] = []
    for season, key in sorted(cells, key=lambda cell: (cell[0], places.index(cell[1]))):
        here = sorted(cells[season, key], key=lambda share: order[share.wish])
        stays = [share for share in here if wishes[share.wish].stand]
        comes = [share for share in here if not wishes[share.wish].stand]
        taken = [kept[share.wish] for share in stays if share.wish in kept]
        cut = slices(pieces[key].outline, taken, [share.area_m2 for share in comes])
        for share in stays:
            own = [kept[share.wish]] if share.wish in kept else []
            found.append(LaidShare(pieces[key], wishes[share.wish], share.area_m2, own, is_kept=True))
        for share, parts in zip(comes, cut, strict=True):
            found.append(LaidShare(pieces[key], wishes[share.wish], share.area_m2, parts, is_kept=False))
    return found
