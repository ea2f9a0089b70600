"""Sentences about frost: when it ends and comes, and what winter means for what stands."""

from schedules.planner.sentences.wording import Figures, Sentence


def _years(f: Figures) -> str:
    """Return which years had frost at all, where some had none."""
    if f.number("years_pct") >= 100:
        return ""
    return f", of the {f.count('years_pct')} % of years that have any"


def last_frosts_of_spring(f: Figures) -> str:
    ends = (
        f"the last frost comes about {f.day('middle_on')} in the middle year, before {f.day('early_on')} in "
        f"one of ten and after {f.day('late_on')} in one of ten{_years(f)}"
    )
    kind = str(f.values.get("grown_from", "seed"))
    if kind == "tuber":
        guard = f"Draw soil over the shoots, or lay fleece on cold nights, until {f.day('late_on')}"
        return f"{guard}: {ends}, {f.basis}."
    advice = f"Keep fleece at hand until {f.day('late_on')}"
    if kind != "seed":
        advice = f"Plant out after {f.day('late_on')} to be safe, or keep fleece at hand"
    event = "up" if kind == "seed" else "planted out"
    return (
        f"{advice}: {ends}, {f.basis}. What is {event} about {f.day('exposed_on')} meets frost yet in "
        f"{f.count('odds_pct')} % of years."
    )


def first_frosts_of_autumn(f: Figures) -> str:
    early, part = f.day("early_on"), f.text("part")
    advice = (
        f"{f.text('gather').capitalize()} the last {part} before {early} to be safe, or cover on cold nights"
    )
    if f.has("ready_on"):
        wait = f"for the {part} are hardly ready before {f.day('ready_on')}"
        advice = f"Have fleece at hand from {early}, {wait}, and cover on cold nights"
    return (
        f"{advice}. The first frost comes about {f.day('middle_on')} in the middle year, before {early} in "
        f"one of ten and after {f.day('late_on')} in one of ten{_years(f)}, {f.basis}."
    )


def _hard(f: Figures) -> str:
    """Return how often and from when the ground may freeze, as a clause."""
    if not f.has("early_on"):
        return f"in none of the winters looked at does the ground freeze hard, {f.basis}"
    return (
        f"in {f.count('winters_pct')} % of winters the ground may freeze hard ({f.count('cold_nights')} "
        f"nights at {f.degrees('cold_c')}, or soil at {f.degrees('frozen_soil_c')}), the early ones from "
        f"{f.day('early_on')}, {f.basis}"
    )


def winter_leave_and_dig(f: Figures) -> str:
    some = ", and bring some in before a hard frost, for frozen ground cannot be dug"
    dig = some if f.has("early_on") else ""
    sweet = " Cold sweetens them, but hard freezing spoils them." if f.values["is_sweetened"] else ""
    return f"Leave the {f.text('part')} in the ground and dig as wanted{dig}: {_hard(f)}.{sweet}"


def winter_lift_before(f: Figures) -> str:
    straw = (
        f", or lay {f.height('straw_cm')} of straw over the rows by then" if f.values["bears_straw"] else ""
    )
    return f"Lift the {f.text('part')} before {f.day('early_on')}{straw}: {_hard(f)}."


def winter_is_mild(f: Figures) -> str:
    watch = ""
    if f.has("early_on"):
        watch = ", and be ready to lift, or to lay straw, when hard frost is forecast"
    return f"Leave the {f.text('part')} and lift as wanted, watching for slugs{watch}: {_hard(f)}."


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        last_frosts_of_spring,
        first_frosts_of_autumn,
        winter_leave_and_dig,
        winter_lift_before,
        winter_is_mild,
    )
}
