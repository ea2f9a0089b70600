"""Places, days and counts as a letter writes them."""

from collections.abc import Iterable
from datetime import date
from textwrap import fill

from plots.models import Plot

TEXT_WIDTH = 72
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def window_words(start: date, best: date, by: date, *, today: date) -> str:
    """'from Friday 9 April, best on 12 April, by 15 April'; 'since' once it has begun."""
    if start == by:
        return f"on {near_day(start, today=today)}"
    begun = "since" if start < today <= by else "from"
    middle = "" if best in {start, by} or best < today <= by else f", best on {near_day(best, today=today)}"
    return f"{begun} {near_day(start, today=today)}{middle}, by {near_day(by, today=today)}"


def place(plot_number: str, bed_name: str) -> str:
    return one_line(f"Plot {plot_number}, {bed_name}")


def numbered(plots: Iterable[Plot]) -> str:
    """'plot 7', 'plots 7, 8 and 11'."""
    numbers = [one_line(plot.number) for plot in plots]
    if len(numbers) == 1:
        return f"plot {numbers[0]}"
    return f"plots {', '.join(numbers[:-1])} and {numbers[-1]}" if numbers else "no plot"


def jobs_in_words(count: int) -> str:
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} job" if count == 1 else f"{number} jobs"


def near_day(day: date, *, today: date) -> str:
    """With its weekday when it lies in the coming week."""
    return long_day(day) if 0 <= (day - today).days < 7 else short_day(day)


def short_day(day: date) -> str:
    return f"{day.day} {day:%B}"


def long_day(day: date) -> str:
    return f"{day:%A} {short_day(day)}"


def sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]


def one_line(text: str) -> str:
    """Free text that somebody typed, fit for a header: no line breaks and nothing unprintable."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def set_in(line: str) -> str:
    return fill(
        line,
        TEXT_WIDTH,
        initial_indent="   ",
        subsequent_indent="   ",
        break_long_words=False,
        break_on_hyphens=False,
    )
