"""Entering what was done to the ground, and withdrawing what was entered wrongly."""

from datetime import date, datetime

from django.core.exceptions import ValidationError

from plots.changes import Faults, local_day, note, row_check, site_held
from plots.ground_places import GroundPlace
from plots.ground_services import touched_ground_check
from plots.models import BedKind, GroundEvent, GroundEventKind, Sowing
from society.models import Account, Member

LONGEST_NOTE = 400
LOWEST_PH, HIGHEST_PH = 3.0, 10.0


def ground_event_add(
    *,
    place: GroundPlace,
    kind: str,
    on: date,
    until: date | None = None,
    value: float | None = None,
    words: str = "",
    member: Member | None,
    account: Account | None,
    now: datetime,
) -> GroundEvent:
    """Enter a dressing, a pH reading or shade on a piece of ground, and judge that ground again."""
    with site_held(place.plot.site):
        event = GroundEvent(
            **place.columns,
            kind=kind,
            on=on,
            until=until,
            value=value,
            note=" ".join(words.split()),
            member=member,
            made_at=now,
        )
        _refuse(event, today=local_day(place.plot.site, now))
        row_check(event)
        event.save()
        note(event, "ground_event.added", account=account, now=now, plot=place.plot.pk, kind=kind, on=on)
        touched_ground_check(site=place.plot.site, ground=event, now=now)
    return event


def ground_event_withdraw(*, event: GroundEvent, account: Account | None, now: datetime) -> GroundEvent:
    """Let an event count no more. It is kept, and so is when it was withdrawn."""
    with site_held(event.site):
        fresh = GroundEvent.objects.select_related("site__society", "plot").get(pk=event.pk)
        if fresh.withdrawn_at is not None:
            raise ValidationError({"event": "it was withdrawn already; nothing is left to do"})
        fresh.withdrawn_at = now
        fresh.save(update_fields=["withdrawn_at"])
        note(
            fresh, "ground_event.withdrawn", account=account, now=now,
            plot=fresh.plot_id, kind=fresh.kind, on=fresh.on,
        )  # fmt: skip
        touched_ground_check(site=fresh.site, ground=fresh, now=now)
    return fresh


def _refuse(event: GroundEvent, *, today: date) -> None:
    faults = Faults()
    if event.on > today:
        faults.add("on", f"{event.on} is still to come; enter it when it is done, today is {today}")
    _refuse_mix(event, faults)
    is_shade, is_ph = event.kind == GroundEventKind.SHADE, event.kind == GroundEventKind.PH
    if event.until is not None and not is_shade:
        faults.add("until", "only shade lasts; leave this empty")
    elif event.until is not None and event.until < event.on:
        faults.add("until", f"{event.until} is before {event.on}; give the same day or a later one")
    if is_ph and event.value is None:
        faults.add("value", "a pH reading has its figure; give it, like 6.5")
    elif is_ph and event.value is not None and not LOWEST_PH <= event.value <= HIGHEST_PH:
        faults.add(
            "value", f"{event.value:g} is no pH of a soil; give {LOWEST_PH:g} to {HIGHEST_PH:g}, like 6.5"
        )
    elif not is_ph and event.value is not None:
        faults.add("value", "only a pH reading has a figure; leave this empty")
    if len(event.note) > LONGEST_NOTE:
        faults.add("words", f"say it in {LONGEST_NOTE} letters; these are {len(event.note)}")
    faults.refuse()


def _refuse_mix(event: GroundEvent, faults: Faults) -> None:
    """Fresh mix goes into a container, over nothing that still stands in it, and once a day."""
    if event.kind != GroundEventKind.MIX_FRESH:
        return
    bed = event.bed
    if bed is None or bed.kind != BedKind.CONTAINER or event.outline != bed.outline:
        faults.add("place", "fresh mix goes into a whole container; choose one, or enter a dressing instead")
        return
    if event.on < bed.since:
        faults.add("on", f"{bed.name} is there from {bed.since} on; its mix counts as fresh from that day")
    standing = Sowing.objects.filter(patch__bed=bed, state=Sowing.State.SOWN)
    for sowing in standing.exclude(sown_on__gte=event.on):
        faults.add("on", f"{sowing.crop_name} still stands in {bed.name}; record first that it came out")
    rows = GroundEvent.objects.filter(bed=bed, kind=event.kind, on=event.on, withdrawn_at__isnull=True)
    if rows.exists():
        faults.add("on", f"fresh mix of {event.on} is entered already; nothing is left to do")
