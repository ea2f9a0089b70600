"""Invented climates and requests for the planner's tests."""

from datetime import date, timedelta
from typing import Any

import numpy as np

from plots.crops import crop
from schedules.agronomy.climate import Ensemble
from schedules.planner import Outcome, Plan, Record, SiteFacts, SowingRequest, State, plan, span

TODAY = date(2027, 2, 1)
NORTH = SiteFacts(52.0, -1.0, "Europe/London")
SOUTH = SiteFacts(-42.0, 147.0, "Australia/Hobart")
MOVES_C = np.linspace(-2.0, 2.0, 9)


def yearly_wave(
    first: date, days: int, *, mean_c: float = 10.0, half_range_c: float = 7.0, southern: bool = False
) -> Ensemble:
    """Nine members on one sine wave, each moved by a fixed amount; warmest in late July, or late January."""
    day_of_year = np.array([(first + timedelta(days=each)).timetuple().tm_yday for each in range(days)])
    warmest = 24 if southern else 206
    wave = mean_c + half_range_c * np.cos(2 * np.pi * (day_of_year - warmest) / 365.25)
    air_c = wave[None, :] + MOVES_C[:, None]
    return Ensemble(
        first=first,
        tmin_c=air_c - 4,
        tmax_c=air_c + 4,
        basis="normals",
        members=9,
        spread_c=1.3,
        observed_until=None,
        missing_days=0,
    )


def request(crop_key: str = "carrot-early", **changes: Any) -> SowingRequest:
    return SowingRequest(
        **{"key": "s1", "crop": crop(crop_key), "sow_on": None, "not_before": TODAY} | changes
    )


def planned(
    asked: SowingRequest | None = None,
    *,
    site: SiteFacts = NORTH,
    record: Record | None = None,
    today: date = TODAY,
    **wave: float,
) -> Plan:
    """Plan a request in an invented climate."""
    asked = asked or request()
    first, days = span(asked, site, record or {}, today)
    return plan(asked, site, yearly_wave(first, days, southern=site.southern, **wave), record or {}, today)


def job(answer: Plan, name: str) -> Any:
    """Return the job under this name, such as 'thin-1'."""
    return next(each for each in answer.jobs if each.key == f"{answer.request_key}/{name}")


def names(answer: Plan) -> list[str]:
    return [each.key.split("/")[1] for each in answer.jobs]


def rules(reasons: Any) -> set[str]:
    return {each.rule for each in reasons}


def done(day: date) -> Outcome:
    return Outcome(State.DONE, day)


def put_off(day: date) -> Outcome:
    return Outcome(State.PUT_OFF, day)


NOT_NEEDED = Outcome(State.NOT_NEEDED)
