"""What was set aside, and why, in sentences for a terminal. Metric."""

from schedules.agronomy.climate import Suspect, WrongUnit

NAMES = {"tmin_c": "minimum", "tmax_c": "maximum", "rain_mm": "rain", "wind_ms": "wind"}
UNITS = {"tmin_c": "°C", "tmax_c": "°C", "rain_mm": "mm", "wind_ms": "m/s"}
HEADINGS = {"c": "°C", "f": "°F"}


def suspect_line(suspect: Suspect) -> str:
    """Return one reading set aside as a line: day, what was read, why."""
    unit = UNITS[suspect.quantity]
    return (
        f"{suspect.day.isoformat()}, {NAMES[suspect.quantity]} {suspect.value:.4g} {unit}: "
        f"{_why(suspect, unit)} It is left out."
    )


def _why(suspect: Suspect, unit: str) -> str:
    figures = suspect.values
    match suspect.rule:
        case "under_the_possible":
            return f"Nothing under {figures['limit']:g} {unit} is believed."
        case "over_the_possible":
            return f"Nothing over {figures['limit']:g} {unit} is believed."
        case "minimum_above_maximum":
            return "The minimum is above the maximum."
        case "far_from_own_past":
            return (
                f"At this time of the year the record stands about {figures['median']:g} {unit}, and this is "
                f"{figures['deviations']:g} robust standard deviations away; more than 6 is not believed."
            )
        case "far_from_usual":
            return (
                f"Usual is about {figures['usual']:g} {unit}; more than {figures['limit']:g} {unit} from it "
                "is not believed."
            )
        case "rain_far_from_own_past":
            return (
                f"This is more than {figures['times']:g} times the {figures['usual']:g} {unit} that one wet "
                "day in twenty passes at this time of the year."
            )
        case "flagged_by_its_source":
            return f"Its source marks it {figures['flag']}: it {figures['meaning']}."
        case "presumed_zero_by_its_source":
            return "Its source had no reading and took it to be nothing."
    raise ValueError(f"no sentence for the rule {suspect.rule!r}")


def wrong_unit_reason(wrong: WrongUnit) -> str:
    """Return why a file is taken to hold the other unit than its headings say."""
    figures = wrong.values
    match wrong.rule:
        case "far_from_usual_unless_swapped":
            return (
                f"they lie {figures['far_c']:g} °C on average from what is usual at the site, and "
                f"{figures['near_c']:g} °C if read as {_other(wrong)}"
            )
        case "hotter_than_any_record":
            return (
                f"{figures['hot_days']:g} of {figures['days']:g} days would have a night above 45 °C or a "
                "day above 57 °C, hotter than any on record"
            )
        case "winter_too_warm":
            return f"midwinter would be {figures['mean_c']:g} °C on average, too warm at this latitude"
        case "summer_too_cold":
            return f"midsummer would be {figures['mean_c']:g} °C on average, too cold at this latitude"
        case "never_warm":
            return f"hardly a day of the whole year would pass {figures['high_c']:g} °C"
    raise ValueError(f"no sentence for the rule {wrong.rule!r}")


def wrong_unit_line(wrong: WrongUnit) -> str:
    """Return what to do about it, as a sentence."""
    stated, other = HEADINGS[wrong.stated], _other(wrong)
    key = {"c": "f", "f": "c"}[wrong.stated]
    return (
        f"The temperatures look to be {other}, while the headings say {stated}: {wrong_unit_reason(wrong)}. "
        f"Name the columns tmin_{key} and tmax_{key} if that is so."
    )


def _other(wrong: WrongUnit) -> str:
    return HEADINGS["f" if wrong.stated == "c" else "c"]
