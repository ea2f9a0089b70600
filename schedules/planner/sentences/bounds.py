"""Sentences about what opens and closes the time for sowing."""

from schedules.planner.sentences.wording import Figures, Sentence

# What each part of a crop does at the time when heat spoils it.
_RIPENS = {
    "pods": "would flower and set its pods",
    "heads": "would make its heads",
    "sprouts": "would make its sprouts",
    "leaves": "would make its leaves",
    "roots": "would swell its roots",
    "stems": "would swell its stems",
    "bulbs": "would swell its bulbs",
    "fruits": "would flower and set its fruits",
    "cobs": "would flower and fill its cobs",
}


def _event(f: Figures) -> str:
    return "sow" if f.text("grown_from") == "seed" else "plant"


def _begun(f: Figures) -> str:
    return "sown" if f.text("grown_from") == "seed" else "planted"


def _ripens(f: Figures) -> str:
    return _RIPENS.get(f.text("part"), "would ripen")


def heat_decides(f: Figures) -> str:
    return (
        f"Wait for the heat to pass: before that the month ahead is above {f.degrees('hottest_c')} on "
        f"average, {f.basis}."
    )


def ripening_heat_decides(f: Figures) -> str:
    return (
        f"Wait, so that the worst heat is over in time: what is {_begun(f)} sooner {_ripens(f)} in air "
        f"above {f.degrees('hottest_c')} on average, {f.basis}."
    )


def slow_growth_decides(f: Figures) -> str:
    return (
        f"Wait for quicker weeks: what is {_begun(f)} sooner takes more than twice the days that it takes "
        f"at the best time of the year, {f.basis}."
    )


def young_plants_decide(f: Figures) -> str:
    return (
        f"Wait for the young plants: the ground is fit sooner, but they want about "
        f"{f.number('raising_days'):.0f} days from the day on which they were begun."
    )


def heat_closes(f: Figures) -> str:
    return (
        f"Be done by {f.day('closes_on')}: after that the month ahead is above {f.degrees('hottest_c')} on "
        f"average, {f.basis}."
    )


def ripening_heat_closes(f: Figures) -> str:
    return (
        f"Be done by {f.day('closes_on')}: what is {_begun(f)} later {_ripens(f)} in air above "
        f"{f.degrees('hottest_c')} on average, {f.basis}."
    )


def slow_growth_closes(f: Figures) -> str:
    return (
        f"Be done by {f.day('closes_on')}: no cold ends growth here, but what is {_begun(f)} later takes far "
        f"longer than at the best time of the year, {f.basis}."
    )


def cold_closes(f: Figures) -> str:
    return (
        f"Be done by {f.day('closes_on')}: after that the soil is under the "
        f"{f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )


def year_round(f: Figures) -> str:
    return (
        f"{_event(f).capitalize()} when you have room: no part of the year is too cold, too hot or too slow "
        f"for {f.text('crop')} here, so nothing closes the season and the dates are merely the first fit "
        f"ones, {f.basis}. Where rain comes in seasons, go by the rain."
    )


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        heat_decides,
        ripening_heat_decides,
        slow_growth_decides,
        young_plants_decide,
        heat_closes,
        ripening_heat_closes,
        slow_growth_closes,
        cold_closes,
        year_round,
    )
}
