"""Sentences about tending, lifting, storing and sowing again."""

from schedules.planner.sentences.wording import Figures, Sentence


def thin_to_spacing(f: Figures) -> str:
    return (
        f"Thin to {f.length('spacing_mm')} apart, stage {f.count('stage')} of {f.count('stages')}. This "
        f"falls about {f.count('after_days')} days of ordinary warmth after the rows show, {f.basis}."
    )


def thin_when_calm(f: Figures) -> str:
    return (
        "Choose a still evening or rain, water afterwards, take the thinnings away and put the cover back "
        "at once. Evidence on the hour is conflicting: one advisory page has flies enter carrots from about "
        "five until dusk."
    )


def weed_the_rows(f: Figures) -> str:
    return (
        f"Weed between and in the rows while the plants are small, round {f.count('stage')} of "
        f"{f.count('stages')}, {f.basis}."
    )


def feel_necks(f: Figures) -> str:
    return "Feel round the neck of a few roots, and lift when they are as thick as you want them."


def look_for_soft_necks(f: Figures) -> str:
    return (
        "Look over the necks: when they have softened and the tops fall over, the bulbs are nearly ready to "
        "lift."
    )


def _heat(f: Figures) -> str:
    return (
        f"{f.heat_range('sum_min_cd', 'sum_max_cd')} above {f.degrees('base_c')}, which is "
        f"{f.count('days_min')} to {f.count('days_max')} days at {f.degrees('reference_c')}"
    )


def lift_when_grown(f: Figures) -> str:
    return f"Lift as the roots reach size. They want {_heat(f)}, {f.basis}."


def lift_when_growth_stops(f: Figures) -> str:
    return (
        f"Lift what there is when growth stops, about {f.day('growth_stops_on')}: the season ends before the "
        f"crop has had its full warmth. It wants {_heat(f)}, {f.basis}."
    )


def fork_under_big_roots(f: Figures) -> str:
    return "Loosen big roots with a fork set well clear of them before you pull."


def lift_before_hard_winter(f: Figures) -> str:
    return (
        f"Lift all before the ground freezes: the coldest month is about {f.degrees('coldest_month_c')}, "
        f"{f.basis}."
    )


def leave_in_mild_winter(f: Figures) -> str:
    return (
        "Leave roots in the ground under straw and lift as wanted, watching for slugs: the coldest month is "
        f"about {f.degrees('coldest_month_c')}, {f.basis}."
    )


def light_frost_sweetens(f: Figures) -> str:
    return "Let a light frost sweeten the roots; they stand over winter, but hard freezing spoils them."


def store_in_sand(f: Figures) -> str:
    return (
        "Twist the tops off, and lay clean, sound roots in barely damp sand, none touching. Keep them cool "
        f"and frost-free, near {f.degrees('storage_c')} at best and at {f.count('storage_rh_min_pct')} % "
        "humidity or more."
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
        weed_the_rows,
        feel_necks,
        look_for_soft_necks,
        lift_when_grown,
        lift_when_growth_stops,
        fork_under_big_roots,
        lift_before_hard_winter,
        leave_in_mild_winter,
        light_frost_sweetens,
        store_in_sand,
        dry_then_store,
        store_in_the_dark,
        sow_the_next_row,
    )
}
