"""What waits for the committee this week, for its letter. Nothing here writes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Max, Model

from plots.member_selectors import invitations_unanswered
from plots.models import GroundEvent, Plot, PlotOffer, Sighting, Site, Sowing, Tenancy
from plots.natural_sorting import Naturally
from plots.selectors import open_on
from plots.verdict_selectors import OPEN_STATES
from schedules.letter_selectors import TROUBLED
from schedules.models import Delivery, Job
from schedules.selectors import open_jobs
from society.models import Invitation, Member

ANSWER_DAYS = timedelta(days=7)
OFFER_DAYS = timedelta(days=7)
LETTER_DAYS = timedelta(days=7)
# A fortnight past its last day a job was forgotten, done and not told, or the plot is left alone.
LATE = timedelta(days=14)
SILENT = timedelta(days=42)
GROWING_MONTHS = range(4, 11)
SIX_MONTHS = 6


@dataclass(frozen=True, slots=True)
class SilentPlot:
    """A let plot of which nothing was recorded for long; ``last`` is the last day on record, if any."""

    plot: Plot
    holders: tuple[str, ...]
    last: date | None
    late_jobs: int


@dataclass(frozen=True, slots=True)
class CommitteeDigest:
    invitations: tuple[Invitation, ...]
    letters: tuple[Delivery, ...]
    refused: tuple[Member, ...]
    offers: tuple[PlotOffer, ...]
    silent: tuple[SilentPlot, ...]

    @property
    def is_empty(self) -> bool:
        return not (self.invitations or self.letters or self.refused or self.offers or self.silent)


def committee_digest(*, today: date, now: datetime) -> CommitteeDigest:
    """A fixed number of queries, whatever there is."""
    return CommitteeDigest(
        invitations=tuple(
            invitations_unanswered()
            .filter(made_at__lte=now - ANSWER_DAYS)
            .select_related("member")
            .order_by("made_at", "pk")
        ),
        letters=tuple(
            Delivery.objects.filter(member__isnull=False, state__in=TROUBLED, due_at__gte=now - LETTER_DAYS)
            .select_related("member")
            .defer("text", "html")
            .order_by("due_at", "pk")
        ),
        refused=tuple(
            Member.objects.filter(email_refused_at__isnull=False, left_on__isnull=True, died_on__isnull=True)
        ),
        offers=tuple(
            PlotOffer.objects.filter(
                answer="",
                entry__closed_on__isnull=True,
                lapses_on__range=(today - OFFER_DAYS, today + OFFER_DAYS),
            )
            .select_related("entry__member", "plot__site")
            .order_by("lapses_on", "pk")
        ),
        silent=tuple(silent_plots(today=today)),
    )


def silent_plots(*, today: date) -> Iterator[SilentPlot]:
    """Let plots without a record for six weeks, where a job is long late, or nothing grows in growing months.

    Records are jobs done, sowings made and ended, dressings and sightings. Eight queries.
    """
    rows = Tenancy.objects.filter(
        open_on(today, ""), since__lte=today - SILENT, plot__given_up_on__isnull=True
    )
    rows = rows.select_related("plot__site").order_by("plot__site__name", Naturally("plot__number"))
    tenancies = list(rows.prefetch_related("holders"))
    plots = [tenancy.plot for tenancy in tenancies]
    last, late, growing = _last_records(plots), _late_jobs(plots, today), _plots_with_crops(plots)
    for tenancy in tenancies:
        plot = tenancy.plot
        seen, jobs = last.get(plot.pk), late.get(plot.pk, 0)
        lies_bare = plot.pk not in growing and _is_growing(plot.site, today)
        if (seen is None or seen <= today - SILENT) and (jobs or lies_bare):
            yield SilentPlot(plot, tuple(each.name for each in tenancy.holders.all()), seen, jobs)


def _last_records(plots: Sequence[Plot]) -> dict[int, date]:
    """By plot, the last day of which anybody wrote something down."""
    records: tuple[tuple[type[Model], str, str], ...] = (
        (Job, "sowing__patch__plot", "done_on"),
        (Sowing, "patch__plot", "sown_on"),
        (Sowing, "patch__plot", "ended_on"),
        (GroundEvent, "plot", "on"),
        (Sighting, "plot", "seen_on"),
    )
    last: dict[int, date] = {}
    for model, link, day in records:
        rows = model._default_manager.filter(**{f"{link}__in": plots}).order_by().values(link)
        for plot, when in rows.annotate(last=Max(day)).values_list(link, "last"):
            if when is not None:
                last[plot] = max(when, last.get(plot, when))
    return last


def _late_jobs(plots: Sequence[Plot], today: date) -> dict[int, int]:
    rows = open_jobs(plots).filter(by_on__lt=today - LATE).order_by().values("sowing__patch__plot")
    return dict(rows.annotate(count=Count("pk")).values_list("sowing__patch__plot", "count"))


def _plots_with_crops(plots: Sequence[Plot]) -> set[int]:
    rows = Sowing.objects.filter(patch__plot__in=plots, state__in=OPEN_STATES)
    return set(rows.values_list("patch__plot", flat=True))


def _is_growing(site: Site, today: date) -> bool:
    month = today.month if site.latitude >= 0 else (today.month + SIX_MONTHS - 1) % 12 + 1
    return month in GROWING_MONTHS
