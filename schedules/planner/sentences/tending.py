"""Sentences about raising, seedlings, earthing up, the store, running to seed, and seed."""

from schedules.planner.sentences.bolting import SENTENCES as BOLTING
from schedules.planner.sentences.ground import plural
from schedules.planner.sentences.supply import SENTENCES as SUPPLY
from schedules.planner.sentences.wording import Figures, Sentence


def raise_under_cover(f: Figures) -> str:
    if f.values["is_past"]:
        return (
            f"Buy or beg young plants, for it is too late to raise them: they take about "
            f"{plural(f.number('raising_days'), 'day')} under cover and should have been sown near "
            f"{f.day('start_on')}, to be planted near {f.day('plant_on')}, {f.basis}."
        )
    depth = f" {f.length('sow_depth_mm')} deep" if f.has("sow_depth_mm") else ""
    warmth = f" The seed shows soonest near {f.degrees('optimum_soil_c')}." if f.has("optimum_soil_c") else ""
    if f.values["is_late"]:
        return (
            f"Sow them{depth} under cover now and plant them near {f.day('late_on')}, or buy young plants "
            f"for {f.day('plant_on')}: they take about {plural(f.number('raising_days'), 'day')} under "
            f"cover, {f.basis}.{warmth}"
        )
    return (
        f"Sow them{depth} under cover about {plural(f.number('raising_days'), 'day')} before they are "
        f"planted, which should be near {f.day('plant_on')}, {f.basis}; or buy young plants later.{warmth}"
    )


def harden_off(f: Figures) -> str:
    return (
        f"Harden the young plants off for {plural(f.number('hardening_days'), 'day')} before: out by day and "
        "in at night, then out altogether. Water them well an hour before planting."
    )


def keep_trays_cool(f: Figures) -> str:
    return (
        f"Keep the trays under {f.degrees('heat_limit_c')}: in warmer compost much of the seed may lie "
        "without coming up."
    )


def see_the_rows(f: Figures) -> str:
    share = ""
    if f.has("seedlings_pct"):
        share = f"; the trials had {f.count('seedlings_pct')} of 100 seeds up at that warmth"
    years = f"{f.number('latest_pct') / 10:.0f} years of 10"
    first, latest = f.day("showing_on"), f.day("latest_on")
    by = f"by {first} in {years}" if first == latest else f"about {first} and by {latest} in {years}"
    return (
        f"Look whether the rows are up. They should show {by}, in soil of about "
        f"{f.degrees('soil_c')}{share}, {f.basis}."
    )


def rows_not_up(f: Figures) -> str:
    scrape = (
        "Scrape a little soil aside where nothing shows and look for the seed: where it is sound, water a "
        "dry or crusted bed gently and wait;"
    )
    if f.values["is_in_time"]:
        return f"{scrape} where it has gone, sow again, until {f.day('last_useful_on')} at the latest."
    return (
        f"{scrape} where it has gone, it is too late to sow this crop again, so fill the gap with something "
        "quicker."
    )


_EARTH_UP = {
    "dark": "Draw soil up round the stems, leaving only the top leaves out, so that no tuber turns green",
    "blanch": "Draw soil up round the stems, and keep it out of the heart, so that they blanch",
    "firm": "Draw soil up round the stems and tread it firm, so that wind does not rock the plants",
}


def earth_up(f: Figures) -> str:
    since = "the rows show" if f.values.get("grown_from") == "seed" else "planting"
    return (
        f"{_EARTH_UP[f.text('purpose')]}{f.of_several('round')}. This falls about "
        f"{plural(f.number('after_days'), 'day')} of ordinary warmth after {since}, {f.basis}."
    )


_LOOKS = {
    "sand": "take out what has gone soft, and damp the sand if it has dried",
    "cool": "take out what has gone soft or yellow",
    "dark": "take out what has gone soft or green, and rub off the shoots",
    "dry": "take out what has gone soft or sprouts, and see that air moves round the rest",
    "warm": "take out what has gone soft, and use first whatever is bruised",
}


def _look(f: Figures) -> str:
    if f.number("stages") == 1:
        return f"One look, {f.count('every_days')} days after storing, will do"
    on = f.values["goes_on"] and f.number("stage") == f.number("stages")
    more = ", and each month after" if on else ""
    return f"This is look {f.count('stage')} of {f.count('stages')}, every {f.count('every_days')} days{more}"


def look_over_store(f: Figures) -> str:
    return f"Look over the {f.text('part')} in store: {_LOOKS[f.text('way')]}. {_look(f)}."


def keeps_half_as_long(f: Figures) -> str:
    weeks = plural(round(f.number("home_weeks")), "week")
    published = plural(round(f.number("published_weeks")), "week")
    return f"Count on about {weeks} in an unheated shed, half of the {published} of a cold store."


SENTENCES: dict[str, Sentence] = (
    BOLTING
    | SUPPLY
    | {
        each.__name__: each
        for each in (
            raise_under_cover,
            harden_off,
            keep_trays_cool,
            see_the_rows,
            rows_not_up,
            earth_up,
            look_over_store,
            keeps_half_as_long,
        )
    }
)
