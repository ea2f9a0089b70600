"""Sentences on weather readings that were not believed."""

from schedules.planner.sentences.wording import MM_PER_INCH, Figures, Sentence, plain

NAMES = {"tmin_c": "minimum", "tmax_c": "maximum", "rain_mm": "rain", "wind_ms": "wind"}
WHY = {
    "under_the_possible": "under what is possible",
    "over_the_possible": "over what is possible",
    "minimum_above_maximum": "minimum above maximum",
    "far_from_own_past": "far from anything the record has at that time of the year",
    "far_from_usual": "far from what is usual there",
    "rain_far_from_own_past": "far above the wet days that the record has at that time of the year",
    "flagged_by_its_source": "marked as doubtful by its source",
    "presumed_zero_by_its_source": "no reading, but taken by its source to be nothing",
}
UNIT_NAMES = {"c": "°C", "f": "°F"}
NAMED = (1, 2, 3)


def readings_set_aside(f: Figures) -> str:
    count = int(f.number("readings"))
    named = [_reading(f, at) for at in NAMED if f.has(f"day_{at}")]
    readings, left = ("1 reading of the weather that was", "it")
    if count > 1:
        readings, left = f"{count} readings of the weather that were", "them"
    more = f"; and {count - len(named)} more" if count > len(named) else ""
    return f"Check {readings} left out: {'; '.join(named)}{more}. The plan has a gap instead of {left}."


def _reading(f: Figures, at: int) -> str:
    quantity, value = f.text(f"quantity_{at}"), f"value_{at}"
    figure = f"{plain(f.number(value))} m/s"
    if quantity in ("tmin_c", "tmax_c"):
        figure = f.degrees(value)
    elif quantity == "rain_mm":
        rain_mm = f.number(value)
        figure = f"{plain(rain_mm / MM_PER_INCH)} in" if f.imperial else f"{plain(rain_mm)} mm"
    return f"{NAMES[quantity]} {figure} on {f.day(f'day_{at}')}, {WHY[f.text(f'rule_{at}')]}"


def unit_looks_wrong(f: Figures) -> str:
    stated = f.text("stated")
    other = "f" if stated == "c" else "c"
    days = int(f.number("days"))
    return (
        f"Correct the headings of the weather file if its temperatures are {UNIT_NAMES[other]}: they say "
        f"{UNIT_NAMES[stated]}, which cannot well be, so the temperatures of {days} "
        f"day{'' if days == 1 else 's'} were left out and the normals stand alone. Name the columns "
        f"tmin_{other} and tmax_{other}."
    )


SENTENCES: dict[str, Sentence] = {each.__name__: each for each in (readings_set_aside, unit_looks_wrong)}
