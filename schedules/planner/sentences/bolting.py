"""Sentences about running to seed."""

from schedules.planner.sentences.ground import plural
from schedules.planner.sentences.wording import Figures, Sentence


def bolts_after_cold(f: Figures) -> str:
    return (
        f"Pull any plant that runs to seed, or sow later: in {_share(f)} the cold met after about "
        f"{f.count('leaves')} leaves reaches {f.heat('first_cd')} under {f.degrees('ceiling_c')}, from which "
        f"the first may flower; at {f.heat('most_cd')} most would. The middle of all years is "
        f"{f.heat('cold_cd')}, {f.basis}."
    )


def bolts_when_chilled(f: Figures) -> str:
    size = ", once it has grown to some size" if f.has("after_days") else ""
    by = "by day" if f.text("bolt_cold_of") == "maximum" else "on the mean of day and night"
    advice = {
        "set": "Choose small or heat-treated sets",
        "seed": "Wait, lay fleece over the rows, or choose a sort that is slow to bolt",
    }.get(str(f.values.get("grown_from")), "Wait, or lay fleece over the plants")
    return (
        f"{advice}: this crop may run to seed after {plural(f.number('bolt_cold_days'), 'day')} under "
        f"{f.degrees('bolt_cold_c')} {by} in the first {f.count('within_days')} after {f.text('since')}"
        f"{size}, and "
        f"{_share(f)} have as many, {f.basis}."
    )


def bolts_in_heat(f: Figures) -> str:
    dry = " with the ground dry" if f.values.get("is_dry") else ""
    return (
        f"Keep the ground moist and gather young: this crop may run to seed once "
        f"{plural(f.number('bolt_heat_days'), 'day')} reach {f.degrees('bolt_heat_c')}{dry}, and {_share(f)} "
        f"have as many before it is over, {f.basis}."
    )


def bolts_in_long_days(f: Figures) -> str:
    return (
        f"Choose a sort that is slow to bolt, or wait for shorter days: this crop tends to run to seed where "
        f"days are longer than {f.count('bolt_day_hours')} hours, and would meet "
        f"{plural(f.number('long_days'), 'such day')} before it is ready."
    )


def _share(f: Figures) -> str:
    tenths = max(1, round(f.number("share_pct") / 10))
    return "nearly all years" if tenths == 10 else f"about {tenths} of 10 years"


SENTENCES: dict[str, Sentence] = {
    each.__name__: each for each in (bolts_after_cold, bolts_when_chilled, bolts_in_heat, bolts_in_long_days)
}
