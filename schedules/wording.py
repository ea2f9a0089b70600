"""Dates in words, as a person would say them on the day."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

WEEK = timedelta(days=7)


def day_words(day: date, *, today: date) -> str:
    """'today', 'tomorrow', 'Thursday' within the week, else '12 April' (with the year if it is another)."""
    ahead = (day - today).days
    if ahead == 0:
        return "today"
    if ahead == 1:
        return "tomorrow"
    if timedelta() < day - today < WEEK:
        return f"{day:%A}"
    year = f" {day.year}" if abs(ahead) > 180 and day.year != today.year else ""
    return f"{day.day} {day:%B}{year}"


def date_words(day: date) -> str:
    """'12 April 2027', as a refusal names a day."""
    return f"{day.day} {day:%B %Y}"


def when_words(*, start: date, by: date, today: date) -> str:
    """When a job is to be done: 'from Thursday', 'by 12 April', 'late by 4 days'."""
    if today > by:
        late = (today - by).days
        return "late by 1 day" if late == 1 else f"late by {late} days"
    if today < start:
        return f"from {day_words(start, today=today)}"
    if today == by:
        return "today at the latest"
    return f"by {day_words(by, today=today)}"


def ago_words(instant: datetime, *, now: datetime, zone: ZoneInfo) -> str:
    """How long ago, the vaguer the longer: 'just now', '5 minutes ago', 'on 12 April, 14:05'."""
    minutes = int((now - instant).total_seconds()) // 60
    if minutes < 2:
        return "just now"
    if minutes < 60:
        return f"{minutes} minutes ago"
    local, today = instant.astimezone(zone), now.astimezone(zone).date()
    if local.date() == today:
        return f"today, {local:%H:%M}"
    if local.date() == today - timedelta(days=1):
        return f"yesterday, {local:%H:%M}"
    year = f" {local.year}" if local.year != today.year else ""
    return f"on {local.day} {local:%B}{year}, {local:%H:%M}"
