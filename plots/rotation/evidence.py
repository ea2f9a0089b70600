"""What stands behind a verdict: the earlier patches by name, and the values that its sentence is made of."""

from collections.abc import Sequence

from plots.rotation.customs import ROOTS
from plots.rotation.ground import GroundUse, Wanted
from plots.rotation.overlaps import Piece, Pieces
from plots.rotation.problems import problems
from plots.rotation.rest_rules import RestRule
from plots.rotation.verdicts import JSON, Overlap

# Under one square centimetre an earlier patch only shares an edge; it is not worth naming.
SMALLEST_NAMED_M2 = 1e-4


def seasons_between(use: GroundUse, wanted: Wanted) -> int:
    """Return the full growing seasons between two crops, 0 when they share a season."""
    return max(wanted.season - use.last_season - 1, 0)


def named_overlaps(
    wanted: Wanted, uses: Sequence[GroundUse], ground: Piece, pieces: Pieces
) -> tuple[Overlap, ...]:
    found: list[Overlap] = []
    if not ground.area_m2:
        return ()
    for use in uses:
        piece = pieces.of(use.polygon)
        # Where nothing was left out as too small, all that an earlier patch shares lies in the ground.
        area_m2 = piece.area_m2 if ground.is_whole else ground.ground.intersection(piece.ground).area
        if area_m2 >= SMALLEST_NAMED_M2:
            found.append(
                Overlap(
                    key=use.key,
                    crop_key=use.crop_key,
                    crop_name=use.crop_name,
                    first_season=use.first_season,
                    last_season=use.last_season,
                    seasons_between=seasons_between(use, wanted),
                    area_m2=area_m2,
                    share=area_m2 / pieces.area_m2,
                    coarse=use.coarse,
                )
            )
    return tuple(sorted(found, key=lambda each: (-each.last_season, -each.area_m2, each.key)))


def claim_of(group: str) -> str:
    """What kind of rule a group stands for: a problem that was seen, any root crop, or a family."""
    if group in problems():
        return "problem"
    return "roots" if group == ROOTS else "family"


def rule_values(wanted: Wanted, rule: RestRule) -> dict[str, JSON]:
    return {
        "claim": claim_of(rule.family),
        "family": rule.family,
        "family_name": rule.family_name or rule.family,
        "crop": wanted.crop_name,
        "season": wanted.season,
        "minimum_seasons": rule.minimum_seasons,
        "recommended_seasons": rule.recommended_seasons,
        "stated_as": rule.stated_as,
        "reading": rule.reading,
        "dispute": rule.dispute,
    }


def ground_values(
    within: Sequence[GroundUse], overlaps: Sequence[Overlap], ground: Piece, pieces: Pieces
) -> dict[str, JSON]:
    area_m2 = ground.area_m2
    touched_m2 = pieces.covered([use.polygon for use in within]).area_m2 if within and not area_m2 else 0.0
    return {
        "patch_m2": round(pieces.area_m2, 4),
        "area_m2": round(area_m2, 4),
        "share": round(area_m2 / pieces.area_m2, 4),
        "left_out_m2": round(touched_m2, 4),
        "earlier_keys": [each.key for each in overlaps],
        "earlier_crops": [each.crop_name for each in overlaps],
        "earlier_last_seasons": [each.last_season for each in overlaps],
        "earlier_areas_m2": [round(each.area_m2, 4) for each in overlaps],
    }
