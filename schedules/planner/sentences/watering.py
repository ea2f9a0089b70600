"""Sentences about water."""

from schedules.planner.sentences.wording import Figures, Sentence, plain

LITRES_PER_GALLON = 4.546
M2_PER_SQUARE_YARD = 0.836
MM_PER_YARD = 914.4
SOILS = {"sand": "sand", "loam": "loam", "silt": "silt", "clay": "clay", "mix": "potting mix"}


def water_the_roots(f: Figures) -> str:
    return (
        f"Water by {f.day('need_on')} unless {f.water('refill_mm')} of rain falls first: {_amount(f)}. "
        f"Roots reach the top {f.length('depth_mm')} of {_soil(f)}, and what they take easily from it "
        f"({_left(f)}) may be used up by then, as it is {_in_share(f)}{_unread(f)}."
    )


def water_the_seedbed(f: Figures) -> str:
    return (
        f"Water the drill gently by {f.day('need_on')} unless it rains well first, with a fine rose, about "
        f"{_to_a_metre(f)}, and keep it moist until the rows show. The top of the {_soil(f)} may by then be "
        f"too dry for seed to come up, as it is {_in_share(f)}{_unread(f)}."
    )


def was_watered(f: Figures) -> str:
    return f"Watered on {f.day('day')}, which is counted as a soaking of {f.water('given_mm')}."


def water_the_soil(f: Figures) -> str:
    return (
        "Water the soil and not the leaves, in the morning or the evening, and let it sink in: one good "
        "soaking does more than many sprinklings."
    )


def water_does_most_now(f: Figures) -> str:
    return f"If water is scarce, give it here first: it does most while {f.text('when')}."


def containers_dry_faster(f: Figures) -> str:
    return (
        "Push a finger into the mix each day and water when it feels dry there: a container dries faster "
        "than ground, and these dates are reckoned from its height alone."
    )


def water_before_sowing(f: Figures) -> str:
    if f.text("grown_from") == "seed":
        return (
            "If the soil is dry on the day, water the open drill before you sow, and cover it with dry soil."
        )
    return "If the soil is dry on the day, soak it before you plant and water the plants in."


def water_needed(f: Figures) -> str:
    if not f.values["is_up"]:
        return f"The drill may want water about {f.day('need_on')}, before the rows show{_unread(f)}."
    return (
        f"Water may be wanted about {f.day('need_on')}: of what roots take easily, {_left(f)}{_by_hand(f)}"
        f"{_unread(f)}."
    )


def water_no_need(f: Figures) -> str:
    ahead = f"No need to water now or, as things look, in the next {f.count('look_days')} days"
    if f.number("needing_pct"):
        ahead += f", though it comes to that {_in_share(f)}"
    if not f.values["is_up"]:
        return f"{ahead}. The seed-bed may stay moist enough for seed to come up{_by_hand(f)}{_unread(f)}."
    return f"{ahead}. Of what roots take easily, {_left(f)}{_by_hand(f)}{_unread(f)}."


def water_no_more(f: Figures) -> str:
    return "No need to water any more: the crop has grown, and keeps better without."


def water_not_known(f: Figures) -> str:
    return (
        "How dry the ground is cannot be told, because no rain is recorded for this site. Dig a finger's "
        "length beside the row and water if it is dry there; a rain gauge, read daily, lets the plan say more"
        f"{_by_hand(f)}."
    )


def _soil(f: Figures) -> str:
    return SOILS[f.text("soil")]


def _left(f: Figures) -> str:
    if not f.number("left_mm"):
        return "nothing is left this morning"
    return f"{f.water('left_mm')} or {f.count('left_pct')} % is left this morning"


def _in_share(f: Figures) -> str:
    """Say how often, and over what."""
    if f.text("basis") == "years":
        if f.number("needing_pct") == 100:
            return f"in all of this site's {f.count('basis_years')} past years"
        return f"in {f.count('needing_pct')} % of this site's {f.count('basis_years')} past years"
    return f"in {f.count('needing_pct')} % of the ways the weather may go, {f.basis}"


def _water(litres: float, f: Figures) -> str:
    if not f.imperial:
        return "1 litre" if litres == 1 else f"{plain(litres)} litres"
    gallons = round(litres / LITRES_PER_GALLON, 1)
    return f"{plain(max(gallons, 0.1))} imperial gallons"


def _to_a_metre(f: Figures) -> str:
    litres = f.number("litres_per_metre")
    if f.imperial:
        return f"{_water(litres * MM_PER_YARD / 1000, f)} to a yard"
    return f"{_water(litres, f)} to a metre"


def _amount(f: Figures) -> str:
    """Say how much: to a plant that stands wide, else to a metre of row, else to a piece of ground."""
    if f.has("litres_per_plant"):
        amount = f"give each plant about {_water(f.number('litres_per_plant'), f)}"
    elif f.has("litres_per_metre") and not f.values["is_container"]:
        amount = f"give about {_to_a_metre(f)} of row"
    elif f.imperial:
        amount = f"give about {_water(f.number('refill_mm') * M2_PER_SQUARE_YARD, f)} to a square yard"
    else:
        amount = f"give about {_water(f.number('refill_mm'), f)} to a square metre"
    if not f.has("cans"):
        return amount + _row_of_a_can(f)
    cans = "1 can" if f.number("cans") == 1 else f"{f.count('cans')} cans"
    return f"{amount}, about {cans} of {_water(f.number('can_litres'), f)} for the whole sowing"


def _row_of_a_can(f: Figures) -> str:
    """Say how far a can goes, where nobody said how much ground there is."""
    if f.has("litres_per_plant") or not f.has("litres_per_metre") or f.values["is_container"]:
        return ""
    can, metres = f.number("can_litres"), f.number("can_litres") / f.number("litres_per_metre")
    row = f"{plain(metres * 1000 / MM_PER_YARD)} yards" if f.imperial else f"{plain(metres)} m"
    return f" (a can of {_water(can, f)} goes for about {row})"


def _by_hand(f: Figures) -> str:
    return "; a container dries faster, so feel the mix daily" if f.values["is_container"] else ""


def _unread(f: Figures) -> str:
    days = f.number("unread_days")
    if not days:
        return ""
    unread = "1 day" if days == 1 else f"{plain(days)} days"
    return f"; on {unread} no rain was read, and what is usual stands in"


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        water_the_roots,
        water_the_seedbed,
        was_watered,
        water_the_soil,
        water_does_most_now,
        containers_dry_faster,
        water_before_sowing,
        water_needed,
        water_no_need,
        water_no_more,
        water_not_known,
    )
}
