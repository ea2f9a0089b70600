"""How wet the ground goes into the night. Nothing here writes."""

from collections.abc import Mapping
from datetime import date, timedelta

from schedules.agronomy.evenings import HOUR, Hours, Night
from schedules.models import Reading, WeatherDay

DAY_HOURS = 24


def rain_of_last_day(hours: Hours, night: Night, observed_mm: float | None) -> float | None:
    """Rain of the 24 hours before the night: by the hour where all are held, else yesterday's as observed."""
    part = hours.between(night.begins - DAY_HOURS * HOUR, night.begins)
    foreseen_mm = float(part.rain_mm.sum()) if len(part.at) == DAY_HOURS else float("nan")
    return foreseen_mm if foreseen_mm == foreseen_mm else observed_mm  # NaN is not known


def rain_of_yesterday(todays: Mapping[int, date]) -> dict[int, float]:
    """Observed rain of the day before, by site; two queries for all.

    As everywhere, what a file holds counts, and where it holds nothing the reading that was made last.
    """
    if not todays:
        return {}
    wanted = {pk: today - timedelta(days=1) for pk, today in todays.items()}
    of_these = {"site__in": wanted, "day__in": set(wanted.values())}
    read = Reading.objects.filter(**of_these, quantity=Reading.Quantity.RAIN, withdrawn_at__isnull=True)
    filed = WeatherDay.objects.filter(**of_these, kind=WeatherDay.Kind.OBSERVED, rain_mm__isnull=False)
    rows: list[tuple[int, date, float | None]] = [
        *read.order_by("made_at", "pk").values_list("site_id", "day", "value"),
        *filed.values_list("site_id", "day", "rain_mm"),
    ]
    return {pk: rain_mm for pk, day, rain_mm in rows if rain_mm is not None and day == wanted[pk]}
