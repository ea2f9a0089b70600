"""Places, days and counts as a letter writes them."""

import re
from calendar import month_name
from collections.abc import Iterable, Sequence
from datetime import date
from textwrap import fill

from plots.models import Plot

TEXT_WIDTH = 72
NO_BED = "open ground"
NO_BREAK = "\N{NO-BREAK SPACE}"
NUMBER_AND_UNIT = re.compile(rf"(\d) (°C|°F|mm|cm|m²|in|%|{'|'.join(month_name[1:])})(?![\w])")
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def window_words(start: date, best: date, by: date, *, today: date) -> str:
    """'from Friday 9 April, best on 12 April, by 15 April'; 'since' once it has begun."""
    if start == by:
        return f"on {near_day(start, today=today)}"
    begun = "since" if start < today <= by else "from"
    middle = "" if best in {start, by} or best < today <= by else f", best on {near_day(best, today=today)}"
    return f"{begun} {near_day(start, today=today)}{middle}, by {near_day(by, today=today)}"


def place(plot_number: str, bed_name: str, *, site: str = "") -> str:
    """'Plot 7, bed 2', with the site after it for who works on several."""
    return one_line(f"Plot {plot_number}, {bed_name}{f', {site}' if site else ''}")


def beds_in_words(names: Sequence[str]) -> str:
    """'bed 2', 'beds C, D and F', 'bed 2 and trough'."""
    unique = sorted(set(names))
    if len(unique) > 1 and all(name.startswith("bed ") for name in unique):
        return f"beds {listed(name.removeprefix('bed ') for name in unique)}"
    return listed(unique)


def numbered(plots: Iterable[Plot]) -> str:
    """'plot 7', 'plots 7, 8 and 11'; on several sites 'plot 7 at Alder Lane and plot 3 at Withy Lane'."""
    by_site: dict[int, list[Plot]] = {}
    for plot in plots:
        by_site.setdefault(plot.site_id, []).append(plot)
    if not by_site:
        return "no plot"
    told = [_numbers(rows) for rows in by_site.values()]
    if len(told) == 1:
        return told[0]
    return listed(
        f"{words} at {one_line(rows[0].site.name)}"
        for words, rows in zip(told, by_site.values(), strict=True)
    )


def _numbers(plots: Sequence[Plot]) -> str:
    numbers = listed(one_line(plot.number) for plot in plots)
    return f"plot {numbers}" if len(plots) == 1 else f"plots {numbers}"


def listed(words: Iterable[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    *first, last = [*words]
    return f"{', '.join(first)} and {last}" if first else last


def jobs_in_words(count: int) -> str:
    return counted(count, "job")


def counted(count: int, one: str, many: str = "") -> str:
    """'one job', 'three jobs', '12 jobs'."""
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} {one if count == 1 else many or f'{one}s'}"


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


def wrapped(text: str) -> str:
    """Text in lines of the letter's width, no figure parted from its unit or month."""
    lines = fill(bound(text), TEXT_WIDTH, break_long_words=False, break_on_hyphens=False)
    return lines.replace(NO_BREAK, " ")


def bound(text: str) -> str:
    """With spaces that no line breaks at between figures and what they count."""
    return NUMBER_AND_UNIT.sub(f"\\1{NO_BREAK}\\2", text)


def set_in(line: str) -> str:
    lines = fill(
        bound(line),
        TEXT_WIDTH,
        initial_indent="   ",
        subsequent_indent="   ",
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines.replace(NO_BREAK, " ")
