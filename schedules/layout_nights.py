"""Layouts by night, a plot at a time: for wishes that nobody has had answered, or whose ground changed."""

import logging
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db.models import Exists, F, OuterRef, QuerySet

from plots.ground_selectors import GroundRecordFault
from plots.layout_services import layout_propose, question_of
from plots.models import LayoutAsk, LayoutProposal, LayoutWish
from society import clock
from society.zones import zone

logger = logging.getLogger(__name__)

# Hours of the site's own clock in which the work is done; plots that are not reached wait for the next night.
NIGHT_HOURS = range(1, 5)


def plots_due(*, now: datetime) -> list[int]:
    """Keys of the plots to work on now: it is night there, and this night nobody came yet. One query."""
    return [ask.plot_id for ask in _waiting() if _is_due(ask, now)]


def plot_layout_propose(*, plot: int, now: datetime, seconds: float) -> LayoutProposal | None:
    """Answer a plot's question, once a night; what stands in the way is logged and waits for the next."""
    ask = _waiting().filter(plot=plot).first()
    if ask is None or not _is_due(ask, now):
        return None
    found = None
    try:
        if not _is_answered(ask, now):
            found = layout_propose(plot=ask.plot, member=None, now=now, seconds=seconds)
    except (ValidationError, GroundRecordFault) as fault:
        logger.info("no layout for plot %s: %s", plot, fault)
    LayoutAsk.objects.filter(pk=ask.pk).update(looked_at=now)
    return found


def _waiting() -> QuerySet[LayoutAsk]:
    """Wishes of plots where no layout was adopted since they were written."""
    adopted = LayoutProposal.objects.filter(plot=OuterRef("plot"), adopted_at__gte=OuterRef("changed_at"))
    wishes = LayoutWish.objects.filter(plot=OuterRef("plot"), season__gte=OuterRef("first_season"))
    rows = LayoutAsk.objects.filter(~Exists(adopted), Exists(wishes)).select_related("plot__site")
    return rows.order_by(F("looked_at").asc(nulls_first=True), "pk")


def _is_due(ask: LayoutAsk, now: datetime) -> bool:
    there = zone(ask.plot.site.zone)
    if now.astimezone(there).hour not in NIGHT_HOURS:
        return False
    return ask.looked_at is None or clock.local_date(ask.looked_at, there) < clock.local_date(now, there)


def _is_answered(ask: LayoutAsk, now: datetime) -> bool:
    """Whether a night has worked on this very question already: the same again would find the same."""
    asked = question_of(ask.plot, now=now)
    known = LayoutProposal.objects.filter(
        plot=ask.plot, origin="first", asked_mark=asked.asked_mark, ground_mark=asked.ground_mark
    ).first()
    if known is None:
        return False
    return known.is_proven or (ask.looked_at is not None and ask.looked_at >= known.made_at)
