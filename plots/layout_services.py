"""Keeping what growers want of the coming seasons, and working out layouts for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.changes import Faults, local_day, note, refuse_stale, site_held
from plots.crops import UnknownCrop
from plots.crops import crop as crop_of
from plots.layout_pieces import beds_to_lay_out
from plots.layout_selectors import Question, ask_of, question, wishes_in
from plots.models import LayoutAsk, LayoutPlace, LayoutProposal, LayoutWish, Plot
from plots.models.layouts import MOST_SEASONS, MOST_STRIPS
from plots.rotation.proposals import (
    Problem,
    ProblemFault,
    Proposal,
    answer_data,
    answer_from,
    changed,
    problem_data,
    problem_from,
    propose,
)
from plots.selectors import season_name, season_of
from society.models import Account, Member

# A page may be waited for so long; by night there is more time. [s]
PAGE_SECONDS = 10.0
NIGHT_SECONDS = 60.0
LARGEST_M2 = 10_000.0
MOST_WISHES = 120


@dataclass(frozen=True, slots=True)
class WishLine:
    """One crop's amounts by season, in square metres; ``in_rows`` where they were given in rows."""

    crop: str
    areas_m2: Mapping[int, float]
    in_rows: bool = False
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A crop and a piece that belong together, or do not; ``season`` None means every one."""

    crop: str
    bed: int
    strip: int
    kind: str
    season: int | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """Everything that a plot's growers say of the coming seasons."""

    first_season: int
    seasons: int
    lines: Sequence[WishLine]
    places: Sequence[PlaceLine] = ()
    divisions: Mapping[int, int] = field(default_factory=dict)


def layout_ask_save(
    *, plot: Plot, wanted: Wanted, version: int | None, account: Account | None, now: datetime
) -> LayoutAsk:
    """Keep the wishes in place of those before; ValidationError names field, row and remedy.

    The same wishes kept again are no news to the journal.
    """
    with site_held(plot.site):
        ask = ask_of(plot)
        if ask is not None:
            refuse_stale(ask, version)
        _refuse(plot, wanted, now)
        before = _said(plot, ask)
        ask = ask or LayoutAsk(plot=plot, version=0)
        ask.first_season, ask.seasons = wanted.first_season, wanted.seasons
        ask.divisions = {str(bed): count for bed, count in sorted(wanted.divisions.items()) if count > 1}
        ask.changed_at, ask.version = now, ask.version + 1
        ask.save()
        LayoutWish.objects.filter(plot=plot).delete()
        LayoutWish.objects.bulk_create(
            LayoutWish(
                plot=plot, season=season, crop=line.crop, area_m2=area_m2, in_rows=line.in_rows,
                weight=line.weight,
            )
            for line in wanted.lines
            for season, area_m2 in sorted(line.areas_m2.items())
        )  # fmt: skip
        LayoutPlace.objects.filter(plot=plot).delete()
        LayoutPlace.objects.bulk_create(
            LayoutPlace(
                plot=plot, crop=each.crop, bed_id=each.bed, strip=each.strip, season=each.season,
                kind=each.kind,
            )
            for each in wanted.places
        )  # fmt: skip
        if _said(plot, ask) != before:
            note(
                plot, "layout.asked", account=account, now=now,
                seasons=wanted.seasons, crops=len({line.crop for line in wanted.lines}),
            )  # fmt: skip
    return ask


def _said(plot: Plot, ask: LayoutAsk | None) -> list[object]:
    """Everything that is kept of a plot's wishes, to be compared."""
    wishes = LayoutWish.objects.filter(plot=plot).order_by("season", "crop")
    places = LayoutPlace.objects.filter(plot=plot).order_by("crop", "bed", "strip", "season", "kind")
    return [
        (ask.first_season, ask.seasons, ask.divisions) if ask else None,
        *wishes.values_list("season", "crop", "area_m2", "in_rows", "weight"),
        *places.values_list("crop", "bed", "strip", "season", "kind"),
    ]


def _refuse(plot: Plot, wanted: Wanted, now: datetime) -> None:
    faults = Faults()
    current = season_of(plot.site, local_day(plot.site, now))
    if not current <= wanted.first_season <= current + 1:
        faults.add(
            "first_season",
            f"plans begin in {season_name(plot.site, current)} or {season_name(plot.site, current + 1)}; "
            "choose one of the two",
        )
    if not 1 <= wanted.seasons <= MOST_SEASONS:
        faults.add("seasons", f"a layout covers 1 to {MOST_SEASONS} seasons; choose so many")
    last = wanted.first_season + wanted.seasons - 1
    _refuse_lines(wanted, last, faults)
    beds = {bed.pk for bed in beds_to_lay_out(plot, wanted.first_season)}
    for bed, count in wanted.divisions.items():
        if bed not in beds or not 1 <= count <= MOST_STRIPS:
            faults.add("divisions", f"a bed of this plot is divided into 1 to {MOST_STRIPS} strips")
    kinds = set(LayoutPlace.Kind.values)
    crops = {line.crop for line in wanted.lines}
    for number, each in enumerate(wanted.places, start=1):
        if each.bed not in beds or each.kind not in kinds:
            faults.add("places", f"row {number}: choose a bed of this plot, and what of it")
        elif not 0 <= each.strip <= wanted.divisions.get(each.bed, 1):
            faults.add("places", f"row {number}: the bed has no strip {each.strip}; choose another")
        if each.crop not in crops:
            faults.add("places", f"row {number}: that crop is not among the wishes; add it or leave this out")
    faults.refuse()


def _refuse_lines(wanted: Wanted, last: int, faults: Faults) -> None:
    seen: set[str] = set()
    for number, line in enumerate(wanted.lines, start=1):
        try:
            crop = crop_of(line.crop)
        except UnknownCrop as fault:
            faults.add("lines", f"row {number}: {fault}")
            continue
        if crop.key in seen:
            faults.add("lines", f"row {number}: {crop.name} stands twice; put both amounts in one row")
        seen.add(crop.key)
        if crop.is_perennial:
            faults.add(
                "lines",
                f"row {number}: {crop.name} keeps its ground for years; plan it once as a sowing, and its "
                "bed is left to it",
            )
        for season, area_m2 in line.areas_m2.items():
            if not 0 < area_m2 <= LARGEST_M2 or not wanted.first_season <= season <= last:
                faults.add("lines", f"row {number}: give each amount above 0, within the seasons asked for")
    if sum(len(line.areas_m2) for line in wanted.lines) > MOST_WISHES:
        faults.add("lines", f"more than {MOST_WISHES} wishes at once; leave some crops out")


def question_of(plot: Plot, *, now: datetime) -> Question:
    """The plot's present question; ValidationError where there is none to answer."""
    ask = ask_of(plot)
    if ask is None:
        raise ValidationError({"lines": "nothing is wished for yet; write down what you want to grow"})
    current = season_of(plot.site, local_day(plot.site, now))
    if ask.last_season < current:
        raise ValidationError({"first_season": "the seasons of these wishes are over; choose new ones"})
    found = question(plot, ask, current_season=current)
    if not [wish for wish in found.problem.wishes if not wish.stand]:
        said = "nothing is wished for yet; write down what you want to grow"
        if wishes_in(ask):
            said = "all of it is planned or sown on this plot already; write more, or adopt what is there"
        raise ValidationError({"lines": said})
    if not found.pieces:
        raise ValidationError({"lines": "no bed is laid out on this plot for then; draw its beds first"})
    return found


def layout_propose(
    *, plot: Plot, member: Member | None, now: datetime, seconds: float = PAGE_SECONDS
) -> LayoutProposal:
    """Answer the plot's present question. Asked again, a proven answer is the one that is there already."""
    asked = question_of(plot, now=now)
    known = LayoutProposal.objects.filter(
        plot=plot, origin="first", asked_mark=asked.asked_mark, ground_mark=asked.ground_mark
    ).first()
    if known is not None and (known.is_proven or known.adopted_at):
        return known
    answer = _solved(asked.problem, seconds=seconds)
    if known is not None and answer.cost >= known.cost and not answer.is_proven:
        return known
    return _keep(asked, answer, plot=plot, member=member, now=now)


def layout_propose_other(
    *, first: LayoutProposal, member: Member | None, now: datetime, seconds: float = PAGE_SECONDS
) -> LayoutProposal:
    """A second layout of the same question, other in at least a quarter of its places; made once."""
    known = LayoutProposal.objects.filter(beside=first, origin="second").first()
    if known is not None:
        return known
    problem = problem_from(first.problem)
    answer = _solved(problem, seconds=seconds, unlike=[answer_from(first.answer)])
    return _like(first, answer, origin=LayoutProposal.Origin.SECOND, member=member, now=now)


def layout_changed(
    proposal: LayoutProposal, *, piece: str, season: int, wish: str | None
) -> tuple[Problem, Proposal]:
    """What a changed cell would make of a layout; nothing is kept."""
    problem = problem_from(proposal.problem)
    try:
        return problem, changed(problem, answer_from(proposal.answer), piece=piece, season=season, wish=wish)
    except ProblemFault as fault:
        raise ValidationError({"wish": str(fault)}) from None


def layout_change(
    *,
    proposal: LayoutProposal,
    piece: str,
    season: int,
    wish: str | None,
    member: Member | None,
    now: datetime,
) -> LayoutProposal:
    """Keep a changed layout beside the one that it was changed from."""
    _, answer = layout_changed(proposal, piece=piece, season=season, wish=wish)
    return _like(proposal, answer, origin=LayoutProposal.Origin.CHANGED, member=member, now=now)


def _solved(problem: Problem, *, seconds: float, unlike: Sequence[Proposal] = ()) -> Proposal:
    try:
        return propose(problem, seconds=seconds, unlike=unlike)
    except ProblemFault as fault:
        raise ValidationError({"lines": str(fault)}) from None


def _keep(
    asked: Question,
    answer: Proposal,
    *,
    plot: Plot,
    member: Member | None,
    now: datetime,
) -> LayoutProposal:
    """Two who ask at once get one row: the second writes over the first, and both have the same answer."""
    values = {**_values(answer), "problem": problem_data(asked.problem), "made_at": now, "made_by": member}
    with transaction.atomic():
        row, _ = LayoutProposal.objects.update_or_create(
            plot=plot,
            origin=LayoutProposal.Origin.FIRST,
            asked_mark=asked.asked_mark,
            ground_mark=asked.ground_mark,
            defaults=values,
        )
    return row


def _like(
    other: LayoutProposal, answer: Proposal, *, origin: str, member: Member | None, now: datetime
) -> LayoutProposal:
    return LayoutProposal.objects.create(
        plot=other.plot,
        origin=origin,
        beside=other,
        asked_mark=other.asked_mark,
        ground_mark=other.ground_mark,
        problem=other.problem,
        made_at=now,
        made_by=member,
        **_values(answer),
    )


def _values(answer: Proposal) -> dict[str, object]:
    data = answer_data(answer)
    return {"answer": data, "cost": answer.cost, "gap": data["gap"], "is_proven": answer.is_proven}
