"""Invented weather of a cool maritime place, day by day: only the amount of work matters here."""

from datetime import date

import numpy as np

from schedules.agronomy.climate import DailyWeather

YEARS = 20


def weather_until(today: date, *, years: int = YEARS) -> DailyWeather:
    """Whole past years and this one as far as it has gone; the same for the same day."""
    first = date(today.year - years, 1, 1)
    days = (today - first).days
    dice = np.random.default_rng(7)
    season = -np.cos(2 * np.pi * (np.arange(days) - 20) / 365.25)
    noise = np.convolve(dice.normal(0, 2.5, days + 8), np.full(9, 1 / 3), mode="valid")
    mean_c = 10.2 + 6.6 * season + noise
    half_c = 3.6 + 1.2 * season + dice.uniform(-1, 1, days)
    rain_mm = np.where(dice.random(days) < 0.45, dice.exponential(4.0, days), 0.0)
    return DailyWeather(
        first,
        np.round(mean_c - half_c, 1),
        np.round(mean_c + half_c, 1),
        np.round(rain_mm, 1),
        np.full(days, 3.0),
    )
