"""Sentences about warming, sowing and covering."""

from schedules.planner.sentences.wording import Figures, Sentence

_SHEETS = {
    "clear": "a clear sheet",
    "black": "a black sheet",
    "fleece": "fleece",
    "film": "perforated film",
}
_VERBS = {"seed": "Sow", "set": "Plant the sets", "tuber": "Plant the tubers"}


def warm_the_ground(f: Figures) -> str:
    sheet = _SHEETS[f.text("cover")]
    lay = (
        f"Lay {sheet} about {f.count('lead_days')} days before sowing: bare soil is then about "
        f"{f.degrees('soil_c')}, under the {f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )
    gain = f" It dries the bed and adds about {f.warmth('warmth_c')}"
    days = f.number("earlier_days")
    if not days:
        return f"{lay}{gain}."
    tense = "which opens the sowing" if f.values["is_set"] else "which could open the sowing"
    return f"{lay}{gain}, {tense} about {plural(days, 'day')} sooner."


def plural(number: float, noun: str) -> str:
    return f"{number:.0f} {noun}" if number == 1 else f"{number:.0f} {noun}s"


def _where(f: Figures) -> str:
    return (
        f"{_VERBS[f.text('grown_from')]} {f.length('sow_depth_mm')} deep in rows "
        f"{f.length('row_spacing_mm')} apart"
    )


def sow_when_fit(f: Figures) -> str:
    return (
        f"{_where(f)}, once the soil has been at {f.degrees('practical_sow_soil_c')} or more on "
        f"{f.count('days_running')} days running and is not falling. The estimate for the planned day is "
        f"{f.degrees('soil_c')}, {f.basis}."
    )


def sow_on_the_day_set(f: Figures) -> str:
    return (
        f"{_where(f)} on the day set. The soil estimate for that day is {f.degrees('soil_c')}, against "
        f"{f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )


def rows_in_a_bed(f: Figures) -> str:
    return (
        f"Draw shallow drills; in a bed worked by hand, rows about {f.length('bed_rows_mm')} apart leave "
        f"room to hoe, and small carrots want about {'half an inch' if f.imperial else '1 cm'} of soil over "
        "them."
    )


def fine_seed_in_sand(f: Figures) -> str:
    return (
        f"Mix the seed with dry sand to sow it thinly: there are about {f.count('seeds_per_gram')} to the "
        "gram."
    )


def water_the_drill(f: Figures) -> str:
    return (
        "Water the open drill, let it drain, water it again, sow, and cover with dry soil: the soil is "
        f"about {f.degrees('soil_c')}."
    )


def slugs_take_seedlings(f: Figures) -> str:
    return "Look for slugs as the rows show, for they take seedlings first; beer traps want emptying."


def container_mix(f: Figures) -> str:
    return (
        f"Fill a tall, free-draining container ({f.height('container_height_cm')} high) with, for instance, "
        "half sand and half potting mix."
    )


_FLIGHTS = {
    "first": "The first flight of the carrot fly is ahead",
    "second": "The second flight of the carrot fly is ahead",
    "on the wing": "Carrot flies may be about already",
}


def cover_before_the_fly(f: Figures) -> str:
    cover = "Cover the rows with fine mesh, edges buried"
    limit = f"and be done by the early end of what is expected, about {f.day('threat_on')}"
    if f.values["is_before_thinning"]:
        limit = f"before the first thinning; flies may be about from {f.day('threat_on')}"
    return (
        f"{cover}, {limit}. {_FLIGHTS[f.text('flight')]}: flights begin near {f.heat('first_sum_cd')} above "
        f"{f.degrees('base_c')}, the second near {f.heat('second_sum_cd')}, {f.basis}; flies may come sooner "
        "or later."
    )


def cover_seedlings(f: Figures) -> str:
    return "Cover with fine mesh from sowing, edges buried, against flea beetle and cabbage root fly."


def height_is_no_cover(f: Figures) -> str:
    return (
        "Cover it all the same: common practice says the fly stays below about "
        f"{f.height('claimed_height_cm')}. Trap trials still found {f.count('catch_at_60_cm_pct')} % of the "
        f"catch near the ground at {_height(f, 60)} and {f.count('catch_at_90_cm_pct')} % at "
        f"{_height(f, 90)}."
    )


def _height(f: Figures, centimetres: float) -> str:
    return Figures({"cm": centimetres}, "imperial" if f.imperial else "metric").height("cm")


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        warm_the_ground,
        sow_when_fit,
        sow_on_the_day_set,
        rows_in_a_bed,
        fine_seed_in_sand,
        water_the_drill,
        slugs_take_seedlings,
        container_mix,
        cover_before_the_fly,
        cover_seedlings,
        height_is_no_cover,
    )
}
