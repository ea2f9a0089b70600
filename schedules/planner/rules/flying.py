"""Which insects are about at a site when a sowing stands there, member by member."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from schedules.agronomy.flights import MODELS, flight_indices
from schedules.agronomy.thermal_time import NEVER
from schedules.planner.drafts import Ground
from schedules.planner.site_curves import SiteCurves
from schedules.planner.windows import LATE_PCT, MIDDLE_PCT, THREAT_PCT, Days, fixed, percentile

FIRST, SECOND, THIRD = "first", "second", "third"
ON_THE_WING, NONE = "on the wing", "none"
FLIGHT_NAMES = (FIRST, SECOND, THIRD)
MEETINGS = (*FLIGHT_NAMES, NONE, ON_THE_WING)
SAME_SEASON_DAYS = 270
# Flies of the overwintered brood hatch from the ground that fed it; this one comes to any broken ground.
ANYWHERE = "bean-seed-fly"

Flights = Mapping[str, Days]


@dataclass(frozen=True, slots=True, eq=False)
class Threat:
    """An insect's next day about, in each member, and which flight most members meet."""

    insect: str
    days: Days
    flight: str

    @property
    def early(self) -> int:
        """The early end of what is expected: the 10th percentile."""
        return percentile(self.days, THREAT_PCT)


def insects_of(ground: Ground) -> tuple[str, ...]:
    """Return the insects of the crop that are about at the site, in the order of the crop's facts."""
    return tuple(each for each in ground.text("flight").split(";") if each in ground.site.insects)


def flights_of(shared: SiteCurves, insect: str) -> tuple[Flights, ...]:
    """Return an insect's flights of every year of the window, latest first; never is the horizon."""
    return shared.once(("flights", insect), lambda: _flights(shared, insect))


def _flights(shared: SiteCurves, insect: str) -> tuple[Flights, ...]:
    climate, southern = shared.climate, shared.site.southern
    last_year = climate.date_at(shared.horizon - 1).year
    found = []
    # South of the equator the flights of a year are counted from the July before it.
    for year in range(last_year, climate.first.year - 1 - southern, -1):
        indices = flight_indices(MODELS[insect], climate, year, southern, shared.heat_sum)
        found.append(
            {name: np.where(at == NEVER, shared.horizon, at).astype(float) for name, at in indices.items()}
        )
    return tuple(found)


def next_threat(ground: Ground, insect: str) -> Threat:
    """Return the next day with this insect about, from each member's sowing on.

    A flight is over by its own sum where one is published; otherwise flies are taken to be about until the
    next flight, and those of the last until growth stops that autumn.
    """
    curves, sown = ground.curves, ground.sowing.taken
    days = fixed(curves.horizon, curves.members)
    met = np.full(curves.members, MEETINGS.index(NONE))
    meets_none = np.ones(curves.members, dtype=bool)
    for flights in reversed(flights_of(curves.shared, insect)):
        for name, opens, shuts in _spans(insect, flights, ground.growth.stops, curves.horizon):
            ahead = meets_none & (sown <= shuts) & (opens < curves.horizon)
            days = np.where(ahead, np.maximum(opens, sown), days)
            is_about = np.where(opens < sown, MEETINGS.index(ON_THE_WING), MEETINGS.index(name))
            met = np.where(ahead, is_about, met)
            meets_none &= ~ahead
        if not meets_none.any():
            break
    return Threat(insect, days, MEETINGS[int(np.bincount(met).argmax())])


def _spans(insect: str, flights: Flights, stops: Days, horizon: int) -> list[tuple[str, Days, Days]]:
    """Return (name, opens, shuts) of each flight of a year, the first first."""
    events = MODELS[insect].events
    opens: list[Days] = []
    over: list[Days | None] = []
    for number in sorted({event.flight for event in events.values()}):
        names = [name for name, event in events.items() if event.flight == number]
        opens.append(flights[names[0]])
        over.append(flights["over"] if "over" in names else None)
    spans: list[tuple[str, Days, Days]] = []
    following = fixed(horizon, stops.size)
    for name, begins, ends in reversed(list(zip(FLIGHT_NAMES, opens, over, strict=False))):
        autumn = np.where((stops >= begins) & (stops - begins < SAME_SEASON_DAYS), stops, begins)
        shuts = following if ends is None else ends
        spans.append((name, begins, np.where(shuts < horizon, shuts, autumn)))
        following = begins
    return spans[::-1]


def next_event(ground: Ground, insect: str, event: str) -> Days:
    """Return each member's next such event on or after its sowing; the horizon where there is none."""
    found = fixed(ground.curves.horizon, ground.curves.members)
    for flights in flights_of(ground.curves.shared, insect):
        day = flights[event]
        found = np.where(day >= ground.sowing.taken, np.minimum(found, day), found)
    return found


def trapped(ground: Ground) -> str | None:
    """Return the insect that would hatch under a cover on this ground, None where none would.

    The ground carried the crop's family last year; the flies that wintered in it are out when the first
    flight is over, or, where no sum says when, by the second.
    """
    if not ground.request.same_family_last_year:
        return None
    sown = percentile(ground.sowing.taken, MIDDLE_PCT)
    stands = percentile(np.minimum(ground.growth.ripe_last, ground.growth.stops), LATE_PCT)
    for insect in insects_of(ground):
        if insect == ANYWHERE:
            continue
        gone = "over" if "over" in MODELS[insect].events else "second"
        for flights in flights_of(ground.curves.shared, insect):
            opens, shuts = percentile(flights["start"], MIDDLE_PCT), percentile(flights[gone], MIDDLE_PCT)
            if opens <= stands and sown <= shuts and opens < ground.curves.horizon:
                return insect
    return None
