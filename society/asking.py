"""What every page begins with: the day at the society, and who asks."""

from datetime import date
from typing import cast
from zoneinfo import ZoneInfo

from django.http import HttpRequest

from society import clock
from society.models import Account
from society.permissions import Asker, asker_of, can_run_society
from society.selectors import the_society
from society.zones import zone


def house_zone() -> ZoneInfo:
    """The society's own time zone; UTC until a society is set up."""
    society = the_society()
    return zone(society.zone if society else "UTC")


def house_today() -> date:
    return clock.today(house_zone())


def who_asks(request: HttpRequest) -> Asker:
    """The logged-in account with what it may do today. Only for views behind a log-in."""
    asker = asker_of(cast(Account, request.user), on=house_today())
    request.asker = asker  # type: ignore[attr-defined]  # the page's head asks the same again
    return asker


def runs_society(request: HttpRequest) -> bool:
    """Whether the page's head leads to the committee's book; asked once a page."""
    if not request.user.is_authenticated:
        return False
    asker = getattr(request, "asker", None) or who_asks(request)
    return can_run_society(asker)
