"""Sentences of warning."""

from schedules.planner.sentences.wording import Figures, Sentence


def soil_too_cold(f: Figures) -> str:
    return (
        f"Wait if you can: on {f.day('sow_on')} the soil is likely to be about {f.degrees('soil_c')}, under "
        f"the {f.degrees('practical_sow_soil_c')} wanted, {f.basis}."
    )


def too_late_to_grow(f: Figures) -> str:
    return (
        f"Expect small roots from a sowing on {f.day('sow_on')}: after about {f.day('last_useful_on')} the "
        f"warmth of {f.count('days_middle')} days no longer fits before growth ends, with "
        f"{f.count('allowance_days')} days in hand for short days, {f.basis}."
    )


def sowing_not_recorded(f: Figures) -> str:
    return (
        f"Record the sowing set for {f.day('sow_on')} if it was done: no record was found, so what follows "
        f"is counted from {f.day('counted_from')}."
    )


def next_season_instead(f: Figures) -> str:
    return (
        "Sow next season: too little of this one is left, and the ground should be fit again about "
        f"{f.day('opens_on')}, {f.basis}."
    )


def may_not_emerge(f: Figures) -> str:
    return (
        f"Expect few seedlings: in soil of about {f.degrees('soil_c')} the germination trials see no "
        f"emergence before growth ends, {f.basis}."
    )


def no_day_is_fit(f: Figures) -> str:
    return (
        f"Choose another crop or a warmer place: no day in the next {_number(f)} years is fit for "
        f"{f.text('crop')}, which wants {f.degrees('practical_sow_soil_c')} in the soil and a season long "
        f"enough. The warmest soil estimate is {f.degrees('warmest_soil_c')}, {f.basis}."
    )


def _number(f: Figures) -> str:
    return {2: "two"}.get(int(f.number("years_ahead")), f.count("years_ahead"))


def cover_traps_flies(f: Figures) -> str:
    return (
        f"Move the sowing or leave it open: this ground carried {f.text('family')} last year, and a cover "
        "shuts in the flies that hatch from it."
    )


def weather_has_gaps(f: Figures) -> str:
    return (
        f"Fill the gaps if you can: {f.count('missing_days')} days up to {f.day('observed_until')} and since "
        "have no observed temperature and were taken from the normals."
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
        too_late_to_grow,
        sowing_not_recorded,
        next_season_instead,
        may_not_emerge,
        no_day_is_fit,
        cover_traps_flies,
        weather_has_gaps,
        record_lies_ahead,
        record_runs_past_today,
        plan_fault,
    )
}
