"""What is known makes the dates surer: widths of the lifting window on open records.

The same sowings are planned from monthly normals alone, from past years, and with part of the season
observed. How wide a window ought to be nobody has published; that it must not widen on average as more is
known follows from what a window is.
"""

from datetime import date

import numpy as np
import pytest

from plots.crops import crop
from schedules.agronomy.climate import DailyWeather, ensemble, normals_of
from schedules.planner import Kind, Outcome, SiteFacts, SowingRequest, State, plan, span
from tests.outside import records

SOWN = (4, 12)
LATER = ((6, 1), (7, 1))
CROPS = (
    "carrot-early",
    "carrot-maincrop",
    "beetroot-early",
    "pea",
    "lettuce",
    "kohlrabi",
    "potato-early",
    "onion-sets",
)
PLACES = {
    "Cambridgeshire": (lambda: records.county(records.CAMBRIDGE), SiteFacts(52.2, 0.1, "UTC")),
    "Brussels": (lambda: records.county(records.BRUSSELS), SiteFacts(50.8, 4.4, "UTC")),
}


def width(weather: DailyWeather, site: SiteFacts, key: str, today: date, *, normals_only: bool) -> int:
    """Return the days from first to last lifting of a sowing recorded in the last year of a record."""
    sown = date(today.year, *SOWN)
    asked = SowingRequest("s1", crop(key), sow_on=sown, not_before=sown)
    record = {"s1/sow": Outcome(State.DONE, sown)}
    first, days = span(asked, site, record, today)
    observed, normals = (None, normals_of(weather.before(sown))) if normals_only else (weather, None)
    climate = ensemble(observed=observed, normals=normals, today=today, first=first, days=days)
    answer = plan(asked, site, climate, record, today)
    lifting = next(job for job in answer.jobs if job.kind is Kind.LIFT).window
    return (lifting.by - lifting.start).days


def mean_widths(place: str) -> list[float]:
    """Return mean widths: normals alone, past years, and past years with more and more observed."""
    read, site = PLACES[place]
    weather = read()
    year = int(weather.dates[-1].astype("datetime64[Y]").astype(int)) + 1970
    stages = [((year, 4, 15), True), ((year, 4, 15), False), *(((year, *day), False) for day in LATER)]
    return [
        float(np.mean([width(weather, site, key, date(*day), normals_only=only) for key in CROPS]))
        for day, only in stages
    ]


@pytest.mark.parametrize("place", PLACES)
def test_windows_narrow_as_more_is_known(place):
    normals, years, june, july = mean_widths(place)
    print(f"{place}: normals {normals:.1f} d, past years {years:.1f}, 1 June {june:.1f}, 1 July {july:.1f}")
    assert normals >= years >= june >= july
    assert july < years
