"""Sentences of warning."""

from schedules.planner.sentences.growing import verb
from schedules.planner.sentences.wording import Figures, Sentence


def _is_sown(f: Figures) -> bool:
    return f.values.get("grown_from", "seed") == "seed"


def soil_too_cold(f: Figures) -> str:
    return (
        f"Wait if you can: on {f.day('sow_on')} the soil is likely to be about {f.degrees('soil_c')}, under "
        f"the {f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )


def soil_too_warm(f: Figures) -> str:
    return (
        f"Wait if you can: on {f.day('sow_on')} the soil is likely to be about {f.degrees('soil_c')}, over "
        f"the {f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )


def ground_may_stay_wet(f: Figures) -> str:
    event = "sow" if _is_sown(f) else "plant"
    return (
        f"Lay a sheet that sheds rain, or {event} in the first dry spell: in {f.count('wet_pct')} % of cases "
        f"this ground is not dry enough to work by {f.day('last_useful_on')}, and the dates then count "
        f"warmth alone, {f.basis}."
    )


def before_midsummer(f: Figures) -> str:
    return (
        f"Wait for {f.day('midsummer_on')} if you can: a sowing on {f.day('sow_on')}, before midsummer, "
        "tends to flower or to stand too long."
    )


def plants_not_ready(f: Figures) -> str:
    return (
        f"Plant about {f.day('ready_on')} if you can, not on {f.day('sow_on')}: the young plants want about "
        f"{f.number('raising_days'):.0f} days under cover from the day on which they were begun."
    )


def winter_may_kill(f: Figures) -> str:
    return (
        f"Expect losses: this crop stands through the winter, and the coldest month is about "
        f"{f.degrees('coldest_month_c')}, {f.basis}."
    )


def emergence_not_known(f: Figures) -> str:
    return (
        f"Wait for the rows to show before you weed or thin {f.text('crop')}: no published figure says how "
        "long that takes, so these jobs are counted from the sowing."
    )


def gathering_not_known(f: Figures) -> str:
    return (
        f"{verb(f)} the {f.text('part')} when they are ready: there is no published figure of days for "
        f"{f.text('crop')}, so no date is given."
    )


def gather_in_later_years(f: Figures) -> str:
    year = {2: "second", 3: "third", 4: "fourth"}.get(int(f.number("year")), f"{f.count('year')}th")
    return (
        f"{verb(f)} nothing yet: {f.text('crop')} gives its first full crop in the {year} year after "
        "planting, and there is no published figure of days, so no date is given."
    )


def too_late_to_grow(f: Figures) -> str:
    event = "sowing" if _is_sown(f) else "planting"
    days = f"about {f.number('days_middle'):.0f} days" if f.has("days_middle") else "a first season"
    return (
        f"Expect small {f.values.get('part') or 'roots'} from a {event} on {f.day('sow_on')}: after about "
        f"{f.day('last_useful_on')} the warmth of {days} no longer fits before growth ends, with "
        f"{f.count('allowance_days')} days in hand for short days, {f.basis}."
    )


def season_is_short(f: Figures) -> str:
    return (
        f"Choose a quick sort of {f.text('crop')}, of near {f.count('days_min')} days: the season here is "
        f"short for one of {f.count('days_middle')}, {f.basis}, and what you gather may be small."
    )


def sowing_not_recorded(f: Figures) -> str:
    return (
        f"Record the sowing set for {f.day('sow_on')} if it was done: no record was found, so what follows "
        f"is counted from {f.day('counted_from')}{_no_longer(f)}."
    )


def _no_longer(f: Figures) -> str:
    return ", the last day on which it was of use" if f.values.get("is_past_use") else ""


def next_season_instead(f: Figures) -> str:
    begin = "Sow" if _is_sown(f) else "Plant"
    return (
        f"{begin} next season: too little of this one is left, and the ground should be fit again about "
        f"{f.day('opens_on')}, {f.basis}."
    )


def may_not_emerge(f: Figures) -> str:
    return (
        f"Expect few seedlings: in soil of about {f.degrees('soil_c')} the germination trials see no "
        f"emergence before growth ends, {f.basis}."
    )


def risky_season(f: Figures) -> str:
    begun, sorts = "sown" if _is_sown(f) else "planted", f"the quickest sorts of {f.text('crop')}"
    gain = (
        f"bring {f.text('part')} worth having, if small"
        if f.values["is_small"]
        else f"ripen {f.text('part')}"
    )
    if f.values["is_rooting"]:
        sorts, gain = f.text("crop"), "root well enough to stand the winter"
    return (
        f"Risky: in about {f.count('years')} of {f.count('of_years')} years {sorts}, {begun} about "
        f"{f.day('sow_on')}, the best day for it, {gain}; in the others too little of the season is left, "
        f"{f.basis}. A warm corner or a cover betters the odds."
    )


def no_day_is_fit(f: Figures) -> str:
    if f.has("hottest_c"):
        time = "weeks of flowering or hearting" if f.values.get("is_at_ripening") else "month after sowing"
        return (
            f"Choose another crop or a cooler place: for {f.text('crop')} the {time} should be no warmer "
            f"than {f.degrees('hottest_c')} on average, and here it nearly always is, {f.basis}."
        )
    cooling = f.values.get("opens") == "as it cools"
    name = "coldest" if cooling else "warmest"
    place, limit = ("cooler", " or less") if cooling else ("warmer", "")
    return (
        f"Choose another crop or a {place} place: no day in the next {_number(f)} years is fit for "
        f"{f.text('crop')}, with {f.degrees('practical_sow_soil_c')}{limit} in the soil and a season long "
        f"enough. The {name} soil estimate is {f.degrees(f'{name}_soil_c')}, {f.basis}."
    )


def _number(f: Figures) -> str:
    return {2: "two"}.get(int(f.number("years_ahead")), f.count("years_ahead"))


def cover_traps_flies(f: Figures) -> str:
    return (
        f"Move the sowing or leave it open: this ground carried {f.text('family')} last year, and a cover "
        "shuts in the flies that hatch from it."
    )


def weather_has_gaps(f: Figures) -> str:
    days = int(f.number("missing_days"))
    have, stand, rest = ("day has", "stands", "it") if days == 1 else ("days have", "stand", "them")
    between = (
        f" between {f.day('missing_from')} and {f.day('missing_until')}" if f.has("missing_from") else ""
    )
    if days == 1 and between:
        between = f" on {f.day('missing_from')}"
    return (
        f"Fill the gaps if you can: {days} {have} no observed temperature{between}, and {stand} in gaps too "
        f"long to bridge. Sums over {rest} rest on what is usual for the time of year and are incomplete."
    )


def weather_was_bridged(f: Figures) -> str:
    days = int(f.number("bridged_days"))
    days_have, were = ("day has", "was") if days == 1 else ("days have", "were")
    return (
        f"Fill the gaps if you can: {days} {days_have} no observed temperature and {were} bridged from the "
        "day before, in gaps of no more than three days."
    )


def record_lies_ahead(f: Figures) -> str:
    return (
        f"Note that the weather record begins on {f.day('record_from')}, not before {f.day('today')}: it is "
        "used as climate only."
    )


def record_runs_past_today(f: Figures) -> str:
    return (
        f"Note that the weather record runs to {f.day('record_until')}: from {f.day('today')} on it is used "
        "as climate only."
    )


def plan_fault(f: Figures) -> str:
    return f"Correct the sowing, for it cannot be planned: {f.text('fault')}."


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        soil_too_cold,
        soil_too_warm,
        ground_may_stay_wet,
        before_midsummer,
        plants_not_ready,
        winter_may_kill,
        emergence_not_known,
        gathering_not_known,
        gather_in_later_years,
        too_late_to_grow,
        season_is_short,
        sowing_not_recorded,
        next_season_instead,
        may_not_emerge,
        risky_season,
        no_day_is_fit,
        cover_traps_flies,
        weather_has_gaps,
        weather_was_bridged,
        record_lies_ahead,
        record_runs_past_today,
        plan_fault,
    )
}
