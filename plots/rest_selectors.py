"""How long a whole site still rests from a family: one reading, one pass. Nothing here writes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice

from django.db.models import Min

from plots.crops import Crop, crops
from plots.ground_columns import is_root
from plots.ground_selectors import customs_of, ground_record, verdicts_of
from plots.holding_selectors import plots_on
from plots.models import Bed, OtherUse, Patch, Plot, Sighting, Site, Sowing
from plots.models.outlined import Outlined
from plots.natural_order import natural_key
from plots.outlines import Corners
from plots.rotation import Customs, Level, Verdict, problems, rest_rules
from plots.selectors import open_on, season_begins, season_of

# The family that the society is first of all about; of it only what is grown for its root is asked.
ROOTS = "Apiaceae"
RESTING = frozenset({Level.POSSIBLE, Level.SHORT, Level.BROKEN})


@dataclass(frozen=True, slots=True)
class GroundPiece:
    """A bed, or the whole of a plot on which none is laid out."""

    plot: Plot
    bed: Bed | None

    @property
    def outline(self) -> Corners:
        return self.bed.outline if self.bed else self.plot.outline


@dataclass(frozen=True, slots=True)
class PieceRest:
    """What the rest rule says to a family on a piece of ground in a season.

    ``seasons`` is how many are still to come before the ground is free: 0 when it is rested, None when the
    record does not reach back far enough to say. ``free_from`` may be known even then.
    """

    piece: GroundPiece
    verdict: Verdict
    season: int
    free_from: int | None

    @property
    def level(self) -> Level:
        return self.verdict.level

    @property
    def seasons(self) -> int | None:
        if self.level is Level.NO_RECORD:
            return None
        return max((self.free_from or self.season) - self.season, 0)

    @property
    def is_coarse(self) -> bool:
        """Whether only a rough outline, or a plan that nobody confirmed, stands against it."""
        return self.level is Level.POSSIBLE


def families_resting() -> list[str]:
    """Families with a published rest, that of the roots first."""
    return sorted(rest_rules(), key=lambda family: (family != ROOTS, rest_rules()[family].family_name))


def first_season_on_record(site: Site, *, present: int) -> int:
    """The earliest season of which anything is known; the present one where nothing is. Two queries."""
    sown = Sowing.objects.filter(patch__site=site).aggregate(first=Min("season"))["first"]
    other = OtherUse.objects.filter(site=site, withdrawn_at__isnull=True).aggregate(
        first=Min("first_season")
    )["first"]
    return min(each for each in (sown, other, present) if each is not None)


def pieces_there(site: Site, *, season: int, today: date) -> list[GroundPiece]:
    """Beds as they lie in a season: now, at the end of one gone by, at the beginning of one to come.

    Plot by plot, 2 before 10. Two queries.
    """
    on = _day_of(site, season, today)
    plots = sorted(plots_on(site, on=on), key=lambda plot: natural_key(plot.number))
    beds: dict[int, list[Bed]] = {plot.pk: [] for plot in plots}
    for bed in Bed.objects.filter(open_on(on, ""), plot__site=site):
        if bed.plot_id in beds:
            beds[bed.plot_id].append(bed)
    return [piece for plot in plots for piece in _pieces(plot, beds[plot.pk])]


def _pieces(plot: Plot, beds: Sequence[Bed]) -> Iterator[GroundPiece]:
    for bed in sorted(beds, key=lambda bed: natural_key(bed.name)):
        bed.plot = plot
        yield GroundPiece(plot, bed)
    if not beds:
        yield GroundPiece(plot, None)


def _day_of(site: Site, season: int, today: date) -> date:
    present = season_of(site, today)
    if season == present:
        return today
    return season_begins(site, season) if season > present else _last_day(site, season)


def _last_day(site: Site, season: int) -> date:
    return season_begins(site, season + 1) - timedelta(days=1)


def rests_from(
    site: Site, pieces: Sequence[GroundPiece], *, family: str, season: int, present: int
) -> list[PieceRest]:
    """Judge each piece for a family as a sowing there in that season would be judged, whatever its crop.

    What is planned until then counts as if it were grown. Where crops of the family are judged differently,
    by a problem seen that lives on some of them or by the society's rule for roots, the worst counts. About
    ten queries, however many pieces and uses.
    """
    own = customs_of(site.society)
    drafts = _drafts(pieces, family, season, own, _seen_on(site))
    flat = [draft for each in drafts for draft in each]
    record = ground_record(site, wanted=flat, current_season=present, customs=own)
    verdicts = iter(verdicts_of(flat, record))
    return [
        _rest(piece, list(islice(verdicts, len(each))), season)
        for piece, each in zip(pieces, drafts, strict=True)
    ]


def _rest(piece: GroundPiece, verdicts: Sequence[Verdict], season: int) -> PieceRest:
    worst = max(verdicts, key=lambda verdict: (verdict.level.severity, verdict.area_m2))
    free = max((each.free_from_season for each in verdicts if each.free_from_season), default=None)
    return PieceRest(piece, worst, season, free)


def _seen_on(site: Site) -> list[Sighting]:
    rows = Sighting.objects.filter(site=site, withdrawn_at__isnull=True, problem__in=list(problems()))
    return list(rows.only("problem", "min_x", "min_y", "max_x", "max_y"))


def _drafts(
    pieces: Sequence[GroundPiece], family: str, season: int, own: Customs, seen: Sequence[Sighting]
) -> list[list[Sowing]]:
    """For each piece one sowing of each way in which crops of the family are judged there."""
    grown = [crop for crop in crops() if crop.family == family and (family != ROOTS or is_root(crop))]
    found = []
    for piece in pieces:
        patch = Patch(site=piece.plot.site, plot=piece.plot, bed=piece.bed, outline=piece.outline)
        patch.measure()
        here = frozenset(each.problem for each in seen if _boxes_meet(each, patch))
        kinds = _kinds(grown, own, here)
        found.append([Sowing(patch=patch, crop=key, season=season, last_season=season) for key in kinds])
    return found


def _boxes_meet(one: Outlined, other: Outlined) -> bool:
    return (
        one.min_x <= other.max_x
        and one.max_x >= other.min_x
        and one.min_y <= other.max_y
        and one.max_y >= other.min_y
    )


def _kinds(grown: Sequence[Crop], own: Customs, seen: frozenset[str]) -> list[str]:
    """The key of one crop for each way in which these crops are judged where these problems were seen."""
    found: dict[tuple[bool, frozenset[str]], str] = {}
    for crop in grown:
        hosts = frozenset(key for key in seen if problems()[key].lives_on(crop.key, crop.family))
        found.setdefault((bool(own.root_after_root) and is_root(crop), hosts), crop.key)
    return list(found.values())
