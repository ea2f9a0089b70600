"""What was done to the invented ground, seen in it and grown on it beside the crops."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from plots.ground_places import whole_bed, whole_plot
from plots.models import GroundEvent, GroundEventKind, OtherUse, Plot, Sighting, Site
from plots.rotation import green_manures
from schedules.demo.ground import Beds, on
from schedules.demo.layout import Layout
from schedules.demo.note_rows import TOLD
from schedules.demo.tables import Row
from society import clock
from society.models import Member
from society.zones import zone


def ground_notes_load(
    layout: Layout,
    site: Site,
    plots: Mapping[str, Plot],
    beds: Beds,
    members: Mapping[str, Member],
    *,
    season: int,
) -> None:
    """Write them as their growers would have; ``told`` is confirmed by the committee and told beside."""
    secretary = next(members[row.text("key")] for row in layout.members if row.maybe("office"))
    for row in layout.notes:
        year = season - row.whole("seasons_ago")
        known = _ground(row, site, plots, beds, on(row.month_day("day"), year))
        known |= {"note": row.maybe("note"), "member": _grower(layout, members, row)}
        match row.text("what"):
            case "event":
                GroundEvent.objects.create(**known, **_event(row, year))
            case "use":
                plant = green_manures()[row.text("kind")]
                seasons = {"first_season": year, "last_season": year}
                OtherUse.objects.create(**known, **seasons, name=plant.name, family=plant.family)
            case _:
                Sighting.objects.create(**known, **dict(_sighting(row, year, known["made_at"], secretary)))


def _ground(row: Row, site: Site, plots: Mapping[str, Plot], beds: Beds, day: date) -> dict[str, Any]:
    number, bed = row.text("plot"), row.maybe("bed")
    if bed and (number, bed) not in beds:
        raise row.fault("bed", f"there is no {bed!r} on plot {number}; give it its line in beds.csv")
    place = whole_bed(beds[number, bed]) if bed else whole_plot(plots[number])
    return {**place.columns, "site": site, "made_at": clock.instant_of(day, 18, zone(site.zone))}


def _grower(layout: Layout, members: Mapping[str, Member], row: Row) -> Member | None:
    held_by = layout.plot(row.text("plot")).several("held_by")
    return members[held_by[0]] if held_by else None


def _event(row: Row, year: int) -> dict[str, Any]:
    value = row.number("ph") if row.text("kind") == GroundEventKind.PH else None
    return {"kind": row.text("kind"), "on": on(row.month_day("day"), year), "value": value}


def _sighting(row: Row, year: int, made_at: Any, secretary: Member) -> Iterator[tuple[str, Any]]:
    yield "problem", row.text("kind")
    yield "seen_on", on(row.month_day("day"), year)
    yield "season", year
    if row.text("state") == TOLD:
        yield "is_sure", True
        yield "tell_neighbours", True
        yield "confirmed_by", secretary
        yield "confirmed_at", made_at
