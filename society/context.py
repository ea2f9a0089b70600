"""What every template may name: the society and the day."""

from functools import partial
from typing import Any

from django.conf import settings
from django.http import HttpRequest

from society import clock
from society.asking import runs_society
from society.selectors import the_society
from society.zones import zone


def house(request: HttpRequest) -> dict[str, Any]:
    society = the_society()
    if society is None:
        return {"society": None}
    return {
        "society": society,
        "today": clock.today(zone(society.zone)),
        "runs_society": partial(runs_society, request),
        "leans_on_forecast": bool(settings.FORECAST_CONTACT) and clock.pretended_day() is None,
    }
