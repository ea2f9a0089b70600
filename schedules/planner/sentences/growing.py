"""Sentences about tending, lifting, storing and sowing again."""

from schedules.planner.sentences.wording import Figures, Sentence


def thin_to_spacing(f: Figures) -> str:
    since = "the rows show" if f.values.get("emergence_known", True) else "the sowing"
    return (
        f"Thin to {f.length('spacing_mm')} apart{f.of_several('stage')}. This "
        f"falls about {f.count('after_days')} days of ordinary warmth after {since}, {f.basis}."
    )


def thin_when_calm(f: Figures) -> str:
    return (
        "Choose a still evening or rain, water afterwards, take the thinnings away and put the cover back "
        "at once. Evidence on the hour is conflicting: one advisory page has flies enter carrots from about "
        "five until dusk."
    )


def thin_when_damp(f: Figures) -> str:
    return "Thin while the soil is damp, firm what stays, and water afterwards."


def weed_the_rows(f: Figures) -> str:
    return (
        f"Weed between and in the rows while the plants are small{f.of_several('round')}. The dates are "
        f"{f.basis}."
    )


def feel_necks(f: Figures) -> str:
    return "Feel round the neck of a few roots, and lift when they are as thick as you want them."


def look_for_soft_necks(f: Figures) -> str:
    return (
        "Look over the necks: when they have softened and the tops fall over, the bulbs are nearly ready to "
        "lift."
    )


def verb(f: Figures) -> str:
    """Return how the crop is gathered, as a sentence begins."""
    return str(f.values.get("gather") or "lift").capitalize()


def _part(f: Figures) -> str:
    return str(f.values.get("part") or "roots")


def _ready(f: Figures) -> str:
    if verb(f) == "Lift" and _part(f) == "roots":
        return "Lift as the roots reach size"
    return f"{verb(f)} the {_part(f)} as they are ready"


def _heat(f: Figures) -> str:
    return (
        f"{f.heat_range('sum_min_cd', 'sum_max_cd')} above {f.degrees('base_c')}, which is "
        f"{f.count('days_min')} to {f.count('days_max')} days at {f.degrees('reference_c')}{_raised(f)}"
        f"{_own_liftings(f)}"
    )


def _own_liftings(f: Figures) -> str:
    """Say what this site's own liftings have done to the printed sum."""
    if not f.values.get("growth_liftings"):
        return ""
    liftings, change = int(f.number("growth_liftings")), round((f.number("growth_factor") - 1) * 100)
    taught = "1 lifting here" if liftings == 1 else f"{liftings} liftings here"
    if not change:
        return f", as {taught} bore out"
    return f", made {abs(change)} % {'more' if change > 0 else 'less'} by {taught}"


def _raised(f: Figures) -> str:
    """Say that the days are printed from sowing and part of them is spent under cover."""
    if not f.has("raised_days") or not f.number("raised_days"):
        return ""
    return f" less {f.count('raised_days')} under cover"


def lift_when_grown(f: Figures) -> str:
    return f"{_ready(f)}. They want {_heat(f)}, {f.basis}."


def lift_by_the_calendar(f: Figures) -> str:
    event = "sowing" if f.text("counted_from") == "sowing" else "planting"
    return (
        f"{_ready(f)}, {f.count('days_min')} to {f.count('days_max')} days after {event}. The winter is in "
        "those days, so they are counted by the calendar and not by warmth."
    )


def lift_when_growth_stops(f: Figures) -> str:
    return (
        f"{verb(f)} what there is when growth stops, about {f.day('growth_stops_on')}: the season ends "
        f"before the crop has had its full warmth. It wants {_heat(f)}, {f.basis}."
    )


def fork_under_big_roots(f: Figures) -> str:
    return f"Loosen big {_part(f)} with a fork set well clear of them before you pull."


def lift_before_hard_winter(f: Figures) -> str:
    return (
        f"{verb(f)} all before the ground freezes: the coldest month is about "
        f"{f.degrees('coldest_month_c')}, {f.basis}."
    )


def _standing(f: Figures) -> str:
    if _part(f) in {"roots", "tubers"}:
        return f"Leave {_part(f)} in the ground under straw and lift as wanted"
    return f"Leave the crop standing through the winter and {verb(f).lower()} as wanted"


def leave_in_mild_winter(f: Figures) -> str:
    return (
        f"{_standing(f)}, watching for slugs: the coldest month is about "
        f"{f.degrees('coldest_month_c')}, {f.basis}."
    )


def leave_for_the_frost(f: Figures) -> str:
    return (
        f"Leave the {_part(f)} for the first frosts, about {f.day('frost_on')}, which sweeten them; they "
        f"could be used from {f.day('usable_on')}, {f.basis}."
    )


def lift_last_what_is_stored(f: Figures) -> str:
    return (
        f"Lift the {_part(f)} for eating as you want them, and those for the store last, about "
        f"{f.day('store_on')}, when it is cool enough to keep them, {f.basis}."
    )


def store_in_sand(f: Figures) -> str:
    return (
        f"Twist the tops off, and lay clean, sound {_part(f)} in barely damp sand, none touching. Keep them "
        f"cool and frost-free, near {f.degrees('storage_c')} at best and at "
        f"{f.count('storage_rh_min_pct')} % humidity or more."
    )


def dry_then_store(f: Figures) -> str:
    return (
        f"Dry the bulbs for about {f.count('drying_days')} days where air moves round them, then store them "
        f"dry, near {f.degrees('storage_c')} and {f.count('storage_rh_min_pct')} % humidity."
    )


def store_in_the_dark(f: Figures) -> str:
    return (
        f"Store sound tubers dark and frost-free, near {f.degrees('storage_c')}; light turns them green, and "
        "green tubers are not to be eaten."
    )


def store_cool_and_moist(f: Figures) -> str:
    return (
        f"Store only sound {_part(f)}, cool and moist: near {f.degrees('storage_c')} and at "
        f"{f.count('storage_rh_min_pct')} % humidity or more. Look them over every week or two."
    )


def ripen_then_store(f: Figures) -> str:
    return (
        f"Keep the {_part(f)} warm and dry for about {f.count('drying_days')} days until the skin is hard, "
        f"then store them dry, near {f.degrees('storage_c')} and {f.count('storage_rh_min_pct')} % humidity."
    )


def sow_the_next_row(f: Figures) -> str:
    return (
        f"Sow the next short row {f.count('resow_min_days')} to {f.count('resow_max_days')} days after this "
        f"one. The last useful sowing is about {f.day('last_useful_on')}, {f.basis}."
    )


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        thin_to_spacing,
        thin_when_calm,
        thin_when_damp,
        weed_the_rows,
        feel_necks,
        look_for_soft_necks,
        lift_when_grown,
        lift_when_growth_stops,
        lift_by_the_calendar,
        fork_under_big_roots,
        lift_before_hard_winter,
        leave_in_mild_winter,
        leave_for_the_frost,
        lift_last_what_is_stored,
        store_in_sand,
        dry_then_store,
        store_in_the_dark,
        store_cool_and_moist,
        ripen_then_store,
        sow_the_next_row,
    )
}
