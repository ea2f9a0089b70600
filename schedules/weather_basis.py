"""What a site's dates rest on, in sentences: the soil estimate and its correction, the record, its gaps."""

from collections.abc import Iterable
from datetime import date, timedelta

import numpy as np

from schedules.agronomy.climate import ClimateFault, DailyWeather
from schedules.learning_selectors import SiteHistory
from schedules.planner.sentences.wording import Units
from schedules.reading_words import difference_words, value_words

RAIN_DAYS = 30


def soil_lines(history: SiteHistory, units: Units) -> Iterable[str]:
    """The estimate, its correction and how far it was out."""
    estimate_c, learnt = history.soil_estimate_c(), history.soil
    if estimate_c is None:
        yield "There is no estimate of the soil before some weather is known."
        return
    yield (
        f"Bare ground at about 10 cm, estimated from the air of the last weeks: "
        f"{value_words('soil_c', estimate_c, units)}."
    )
    if not learnt.days:
        yield (
            "Nobody has read a soil thermometer here yet, at 5 to 15 cm and with the weather before it "
            "known, so the estimate stands as it is. It may be several degrees out."
        )
        return
    side = "warmer" if learnt.correction_c >= 0 else "colder"
    days = f"{learnt.days} day{'' if learnt.days == 1 else 's'}"
    yield (
        f"Soil thermometers on {days} make it {difference_words(learnt.correction_c, units)} {side}: "
        f"{value_words('soil_c', estimate_c + learnt.correction_c, units)}. Sowing days go by that."
    )
    before, after = learnt.error_before_c, learnt.error_after_c
    if before is not None and after is not None:
        yield (
            f"On those days the estimate was out by {difference_words(before, units)} on average; corrected "
            f"by the other days’ readings, by {difference_words(after, units)}."
        )


def record_lines(history: SiteHistory, units: Units) -> Iterable[str]:
    """What dates rest on: the record with its gaps, the past years or the monthly means."""
    observed = history.observed
    if observed is None or not observed.whole.any():
        yield "No day was observed yet."
    else:
        yield _span_words(observed)
        yield from _rain_gap_words(observed, history.today)
    try:
        weather = history.weather(first=history.today, days=1)
    except ClimateFault:
        yield "There are no monthly means either, so nothing can be dated yet."
        return
    if weather.basis == "years":
        yield f"What is to come is reckoned by {weather.members} whole years of this record."
        return
    spread = difference_words(weather.spread_c, units)
    yield (
        "What is to come is reckoned by monthly means and how far one year lies from another, about "
        f"{spread} ({weather.spread_source})."
    )


def _span_words(observed: DailyWeather) -> str:
    days = observed.dates[observed.whole]
    first, last = days[0].item(), days[-1].item()
    gaps = int((last - first).days + 1 - days.size)
    missing = "none is missing" if not gaps else f"{gaps} {'is' if gaps == 1 else 'are'} missing between"
    rain = int(np.isfinite(observed.rain_mm).sum())
    return (
        f"Both temperatures are known of {days.size} days from {day_long(first)} to {day_long(last)}; "
        f"{missing}. Rain is known of {rain}."
    )


def _rain_gap_words(observed: DailyWeather, today: date) -> Iterable[str]:
    """Which of the days before today have no rain on record: what plants drank then is not known."""
    first = today - timedelta(days=RAIN_DAYS)
    rain = dict(zip(observed.dates.tolist(), observed.rain_mm.tolist(), strict=True))
    gaps = [
        day
        for day in (first + timedelta(days=ahead) for ahead in range(RAIN_DAYS))
        if not np.isfinite(rain.get(day, np.nan))
    ]
    if not gaps:
        return
    if len(gaps) == RAIN_DAYS:
        yield f"None of the {RAIN_DAYS} days before today has rain on record."
        return
    if len(gaps) == 1:
        yield f"Of the {RAIN_DAYS} days before today, {day_long(gaps[0])} has no rain on record."
        return
    yield (
        f"Of the {RAIN_DAYS} days before today, {len(gaps)} have no rain on record, the latest "
        f"{day_long(gaps[-1])}."
    )


def day_long(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
