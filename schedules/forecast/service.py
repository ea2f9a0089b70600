"""The one service that is asked, and what its terms want of us.

Locationforecast 2.0 of the Norwegian Meteorological Institute covers the globe, needs no key, and gives its
data under NLOD 2.0 and CC BY 4.0. Its terms (https://api.met.no/doc/TermsOfService): name yourself with a
contact, https only, at most four decimals of a degree, no question before the `Expires` of the last answer,
`If-Modified-Since` with the very words of the last `Last-Modified`, gzip, traffic spread over time, 203
shown as a warning, slow down on 429.

The `complete` answer is asked for, not the smaller `compact`: beyond sixty hours the service gives one
instant every six hours, and only `complete` carries the lowest and highest temperature in between, without
which a day's least temperature would come out too warm.
"""

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from typing import NamedTuple
from urllib.parse import urlencode


class Credit(NamedTuple):
    """Whom the data are owed to, and under which licence, as pages say it."""

    name: str
    source_url: str
    licence: str
    licence_url: str


CREDIT = Credit(
    "MET Norway",
    "https://api.met.no/weatherapi/locationforecast/2.0/documentation",
    "CC BY 4.0",
    "https://creativecommons.org/licenses/by/4.0/",
)
ATTRIBUTION = f"Based on data from {CREDIT.name}"
"""As its licensing page proposes; what the pages show is reckoned from it."""

PATH = "/weatherapi/locationforecast/2.0/complete"
PROGRAM = "Commonrow/0.1"
DECIMALS = 4
LOWEST_M, HIGHEST_M = -500, 9000


@dataclass(frozen=True, slots=True)
class Place:
    """Where the forecast is for: degrees, south and west negative; ``height_m`` None where nobody said."""

    latitude: float
    longitude: float
    height_m: float | None = None


@dataclass(frozen=True, slots=True)
class Service:
    """Whom to ask, and who asks: ``address`` is scheme, host and port; ``contact`` reaches our operator."""

    address: str
    contact: str

    @property
    def is_on(self) -> bool:
        return bool(self.contact)

    @property
    def user_agent(self) -> str:
        return f"{PROGRAM} {self.contact}"


def target(place: Place) -> str:
    """Return path and query of the question about a place."""
    query = {"lat": _degrees(place.latitude), "lon": _degrees(place.longitude)}
    if place.height_m is not None and LOWEST_M <= place.height_m <= HIGHEST_M:
        query = {"altitude": f"{place.height_m:.0f}", **query}
    return f"{PATH}?{urlencode(query)}"


def _degrees(value: float) -> str:
    """Cut as the terms say, and without idle noughts, so that one place has one address."""
    cut = Decimal(repr(value)).quantize(Decimal(1).scaleb(-DECIMALS), rounding=ROUND_DOWN)
    return f"{cut:f}".rstrip("0").rstrip(".") if cut else "0"
