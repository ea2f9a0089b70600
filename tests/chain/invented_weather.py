"""Ten years of daily weather for an invented mild site: a smooth year with seeded, lasting swings."""

import random
from datetime import date, timedelta

from tests.factories import MILD_RAIN_MM, MILD_TMAX_C, MILD_TMIN_C

SEED = 20270412


def weather_csv(*, first: date, last: date) -> str:
    chance = random.Random(SEED)
    swing, lines = 0.0, ["date,tmin_c,tmax_c,rain_mm,wind_ms"]
    day = first
    while day <= last:
        swing = 0.8 * swing + chance.gauss(0, 1.4)
        low, high = between(MILD_TMIN_C, day) + swing, between(MILD_TMAX_C, day) + swing
        rain = chance.expovariate(1) * MILD_RAIN_MM[day.month - 1] / 15 if chance.random() < 0.5 else 0.0
        lines.append(f"{day},{low:.1f},{high:.1f},{rain:.1f},{2 + 3 * chance.random():.1f}")
        day += timedelta(days=1)
    return "\n".join(lines) + "\n"


def normals_csv() -> str:
    rows = zip(MILD_TMIN_C, MILD_TMAX_C, MILD_RAIN_MM, strict=True)
    lines = [f"{month},{low},{high},{rain},4.0" for month, (low, high, rain) in enumerate(rows, start=1)]
    return "\n".join(["month,tmin_c,tmax_c,rain_mm,wind_ms", *lines]) + "\n"


def between(months: tuple[float, ...], day: date) -> float:
    """A straight line from the middle of one month to the middle of the next."""
    part = (day.day - 15) / 30
    near = day.month - 1
    other = (near + (1 if part > 0 else -1)) % 12
    return months[near] + abs(part) * (months[other] - months[near])
