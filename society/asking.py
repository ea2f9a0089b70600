"""What every page begins with: the day at the society, and who asks."""

from datetime import date
from typing import cast
from zoneinfo import ZoneInfo

from django.http import HttpRequest

from society import clock
from society.models import Account
from society.permissions import Asker, asker_of
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
    return asker_of(cast(Account, request.user), on=house_today())
