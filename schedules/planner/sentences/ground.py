"""Sentences about warming and sowing."""

from schedules.planner.sentences.wording import Figures, Sentence

_SHEETS = {
    "clear": "a clear sheet",
    "black": "a black sheet",
    "fleece": "fleece",
    "film": "perforated film",
}
_VERBS = {
    "seed": "Sow",
    "set": "Plant the sets",
    "tuber": "Plant the tubers",
    "clove": "Plant the cloves",
    "transplant": "Plant out the young plants",
    "crown": "Plant the crowns",
    "cutting": "Plant the root cuttings",
    "runner": "Plant the rooted runners",
    "offset": "Plant the offsets",
}


def warm_the_ground(f: Figures) -> str:
    sheet = _SHEETS[f.text("cover")]
    event = "sowing" if f.values.get("grown_from", "seed") == "seed" else "planting"
    lay = (
        f"Lay {sheet} about {f.count('lead_days')} days before {event}: bare soil is then about "
        f"{f.degrees('soil_c')}, under the {f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )
    gain = f" It dries the bed and adds about {f.warmth('warmth_c')}"
    days = f.number("earlier_days")
    if not days:
        return f"{lay}{gain}."
    tense = f"which opens the {event}" if f.values["is_set"] else f"which could open the {event}"
    return f"{lay}{gain}, {tense} about {plural(days, 'day')} sooner."


def warm_for_the_day(f: Figures) -> str:
    event = "sowing" if f.values.get("grown_from", "seed") == "seed" else "planting"
    lay = (
        f"Lay {_SHEETS[f.text('cover')]} about {f.count('lead_days')} days before the {event} set for "
        f"{f.day('sow_on')}: bare soil is then likely to be about {f.degrees('soil_c')}, and "
        f"{f.degrees('practical_sow_soil_c')} several days running are wanted, {f.basis}."
    )
    share = f"It makes the ground warm enough in {f.count('enough_pct')} of 100 cases"
    if f.values["is_enough"]:
        return f"{lay} {share}, against {f.count('bare_pct')} without."
    later = f"; {f.day('fit_on')} is the first day that would do in most" if f.has("fit_on") else ""
    return f"{lay} {share} only{later}."


def plural(number: float, noun: str) -> str:
    return f"{number:.0f} {noun}" if number == 1 else f"{number:.0f} {noun}s"


def _where(f: Figures) -> str:
    kind, rows = f.text("grown_from"), f"in rows {f.length('row_spacing_mm')} apart"
    if kind == "transplant":
        return f"{_VERBS[kind]} {f.length('in_row_spacing_mm')} apart {rows}"
    if not f.has("sow_depth_mm"):
        return f"{_VERBS[kind]} {f.length('in_row_spacing_mm')} apart {rows}, as deep as they grew before"
    return f"{_VERBS[kind]} {f.length('sow_depth_mm')} deep {rows}"


def _wait(f: Figures) -> str:
    return {
        "as it cools": "once the soil has cooled to {warmth} or less on {days} days running",
        "after midsummer": "once midsummer is past and the soil at {warmth} or more on {days} days running",
    }.get(
        str(f.values.get("opens")),
        "once the soil has been at {warmth} or more on {days} days running and is not falling",
    )


def sow_when_fit(f: Figures) -> str:
    wait = _wait(f).format(warmth=f.degrees("practical_sow_soil_c"), days=f.count("days_running"))
    dry = ", and is dry enough to work" if f.values.get("rain_known") else ""
    return f"{_where(f)}, {wait}{dry}. The estimate for the planned day is {f.degrees('soil_c')}, {f.basis}."


def frost_decides(f: Figures) -> str:
    return (
        f"Wait for the frosts: warmth comes sooner, but only by {f.day('frost_on')} are nine last frosts in "
        f"ten past, {f.basis}."
    )


def shoots_meet_frost(f: Figures) -> str:
    return (
        f"Plant no sooner, so that the shoots, which take about {f.count('shoots_days')} days to show, come "
        f"up after {f.day('frost_on')}, when half the last frosts are past, {f.basis}; earth them up or "
        "cover them when frost comes later."
    )


def dryness_decides(f: Figures) -> str:
    return f"Wait for the ground to dry: it is warm enough sooner, {f.basis}."


def ground_not_fit_today(f: Figures) -> str:
    event = "sow" if f.values.get("grown_from", "seed") == "seed" else "plant"
    word = "warm" if f.values.get("is_cooling") else "cold"
    soil = f"too {word} ({f.degrees('soil_c')}, {f.degrees('practical_sow_soil_c')} wanted)"
    if f.values["is_cold"] and f.values["is_wet"]:
        lacks = f"{soil} and too wet to work"
    else:
        lacks = soil if f.values["is_cold"] else "warm enough, but too wet to work"
        if f.values["is_wet"] and f.values.get("is_cooling"):
            lacks = "cool enough, but too wet to work"
    return (
        f"Do not {event} today: the ground is {lacks}. It should be fit about {f.day('fit_on')}, {f.basis}."
    )


def dryness_not_known(f: Figures) -> str:
    event = "sow" if f.values.get("grown_from", "seed") == "seed" else "plant"
    return (
        f"Try the soil in your hand before you {event}: it should crumble and not smear. No rain is known "
        "for this site, so the dates count warmth and not dryness."
    )


def sow_on_the_day_set(f: Figures) -> str:
    return (
        f"{_where(f)} on the day set. The soil estimate for that day is {f.degrees('soil_c')}, against "
        f"{f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )


def rows_in_a_bed(f: Figures) -> str:
    rows = (
        f"Draw shallow drills; in a bed worked by hand, rows about {f.length('bed_rows_mm')} apart leave "
        "room to hoe"
    )
    if not f.values.get("small_carrots", True):
        return f"{rows}."
    depth = "half an inch" if f.imperial else "1 cm"
    return f"{rows}, and small carrots want about {depth} of soil over them."


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


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        warm_the_ground,
        warm_for_the_day,
        sow_when_fit,
        sow_on_the_day_set,
        frost_decides,
        shoots_meet_frost,
        dryness_decides,
        ground_not_fit_today,
        dryness_not_known,
        rows_in_a_bed,
        fine_seed_in_sand,
        water_the_drill,
        slugs_take_seedlings,
        container_mix,
    )
}
