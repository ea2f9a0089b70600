"""What stands in the ground tonight, and how far it has come. Nothing here writes."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef

from plots.crops import Crop
from plots.crops import crop as crop_of
from plots.models import Plot, Sowing
from plots.natural_sorting import Naturally
from schedules.models import Job, Outlook
from schedules.planner.rules.tonight import YOUNG_DAYS
from society import clock
from society.zones import zone

NO_COVER = "none"


@dataclass(frozen=True, slots=True)
class Standing:
    """A sowing in the ground: whether it is up, and young; whether a thinning or a lifting window is open."""

    sowing: Sowing
    crop: Crop
    is_up: bool
    is_young: bool
    is_covered: bool
    is_to_thin: bool
    is_to_lift: bool

    @property
    def where(self) -> str:
        bed = self.sowing.patch.bed
        return bed.name if bed else "open ground"

    @property
    def gather(self) -> str:
        """How it is got out of the ground: 'lift', 'pull', 'cut', 'pick'."""
        fact = self.crop.get("gather")
        return str(fact.value) if fact else "lift"


def standing_sowings(
    plots: Sequence[Plot], jobs: Iterable[Job], *, now: datetime, only: Sowing | None = None
) -> list[Standing]:
    """The sowings in the ground of these plots, in the order in which plots are numbered; one query."""
    if not plots:
        return []
    done = Job.objects.filter(sowing=OuterRef("pk"), state=Job.State.DONE)
    rows = (
        Sowing.objects.filter(patch__plot__in=plots, state=Sowing.State.SOWN)
        .select_related("patch__plot__site", "patch__bed", "outlook")
        .annotate(
            was_covered=Exists(done.filter(kind="cover")), was_uncovered=Exists(done.filter(kind="uncover"))
        )
        .order_by(Naturally("patch__plot__number"), "sown_on", "pk")
    )
    if only is not None:
        rows = rows.filter(pk=only.pk)
    open_kinds = {(job.sowing_id, job.kind): job.start_on for job in jobs if job.state == Job.State.OPEN}
    return [_standing(row, open_kinds, now) for row in rows]


def _standing(sowing: Sowing, opens: dict[tuple[int, str], date], now: datetime) -> Standing:
    today = clock.local_date(now, zone(sowing.patch.plot.site.zone))
    up_since = _up_since(sowing)
    was_covered = sowing.cover != NO_COVER or sowing.was_covered  # type: ignore[attr-defined]  # annotated
    return Standing(
        sowing=sowing,
        crop=crop_of(sowing.crop),
        is_up=up_since is not None and up_since <= today,
        is_young=up_since is not None and up_since <= today < up_since + timedelta(days=YOUNG_DAYS),
        is_covered=was_covered and not sowing.was_uncovered,  # type: ignore[attr-defined]  # annotated
        is_to_thin=_is_open(opens, sowing, "thin", today),
        is_to_lift=_is_open(opens, sowing, "lift", today),
    )


def _is_open(opens: dict[tuple[int, str], date], sowing: Sowing, kind: str, today: date) -> bool:
    starts = opens.get((sowing.pk, kind))
    return starts is not None and starts <= today


def _up_since(sowing: Sowing) -> date | None:
    """When its rows showed as far as anybody can tell; what was planted is up from that day on."""
    outlook: Outlook | None = getattr(sowing, "outlook", None)
    return outlook.shows_best if outlook and outlook.shows_best else sowing.sown_on
