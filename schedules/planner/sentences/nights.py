"""Sentences about this evening and this night."""

from schedules.planner.sentences.wording import Figures, Sentence, plain

MILES_AN_HOUR = 3600 / 1609.344
MM_PER_INCH = 25.4


def wind(f: Figures, name: str = "wind_ms") -> str:
    if f.imperial:
        return f"{f.number(name) * MILES_AN_HOUR:.0f} miles an hour"
    return f"{plain(f.number(name))} m/s"


def rain(f: Figures, name: str = "rain_mm") -> str:
    if f.imperial:
        return f"{f.number(name) / MM_PER_INCH:.2f} in"
    return f"{plain(f.number(name))} mm"


_THINNING = {
    "good": "Thin this evening: it should be still and dry",
    "fair": "Thin this evening if you must",
    "poor": "Leave thinning for another evening",
}


def thin_tonight(f: Figures) -> str:
    when = f"from {f.text('from_time')} to {f.text('until_time')}"
    back = "put the mesh back at once" if f.values["covered"] else "lay a mesh, or water well, straight after"
    if not f.values["flies_about"]:
        back = "water afterwards"
    sky = f"wind about {wind(f)} and {rain(f)} of rain {when}"
    return (
        f"{_THINNING[f.text('rating')]}; {sky}. Take the thinnings away and {back}: evidence on the hour is "
        "conflicting, and one advisory page has carrot flies come in from five until dusk."
    )


def evening_not_known(f: Figures) -> str:
    return (
        f"Look at the sky yourself: the forecast does not tell of {f.text('from_time')} to "
        f"{f.text('until_time')}, so this evening is not rated."
    )


def frost_tonight(f: Figures) -> str:
    rest = "" if f.values["is_whole"] else ", in the hours that the forecast holds"
    word = f.text("word")
    told = "the air may fall to freezing point" if word == "freezing point" else f"{_an(word)} may come"
    return (
        f"Cover what is tender before dark: {told}, {f.degrees('lowest_c')} in the air{rest}. Near the "
        "ground, and in hollows, it may be some degrees colder."
    )


def frost_near_the_ground(f: Figures) -> str:
    return (
        f"Cover what is tender before dark where your ground lies low: the air may fall to "
        f"{f.degrees('lowest_c')}, and leaves and the ground may freeze then."
    )


def _an(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"


def no_frost_tonight(f: Figures) -> str:
    return (
        f"Leave the fleece off unless your ground lies low: the air should stay near or above "
        f"{f.degrees('lowest_c')} tonight."
    )


def night_not_known(f: Figures) -> str:
    if f.has("lowest_known_c"):
        return (
            "Be ready for frost: the forecast does not reach through the night, and falls to "
            f"{f.degrees('lowest_known_c')} in the hours it holds."
        )
    return "Look at a forecast yourself: nothing is known here of the coming night."


def cover_tonight(f: Figures) -> str:
    young = ", young as they are," if f.values["young"] else ""
    return (
        f"Cover {f.text('crop')} before dark: the forecast falls to {f.degrees('lowest_c')}, and "
        f"the plants{young} want covering from about {f.degrees('bears_c')}. Take the cover off when the "
        "day warms."
    )


def lift_tonight(f: Figures) -> str:
    return (
        f"Lift what you need of {f.text('crop')} before dark, or lay straw over the rows: the forecast falls "
        f"to {f.degrees('lowest_c')}, and what freezes in the ground keeps badly. Do not pull at ground that "
        "is frozen."
    )


_SLUGS = {
    "many": "Look for slugs after dark, with a torch: many may be out",
    "some": "Look for slugs after dark: some may be out",
    "few": "Leave the slugs for tonight: few should be out",
}


def slug_night(f: Figures) -> str:
    return f"{_SLUGS[f.text('rating')]}, at about {f.degrees('mean_c')}, {_wet_and_wind(f)} since yesterday."


def slugs_by_yesterday(f: Figures) -> str:
    night = f"about {f.degrees('mean_c')}, {_wet_and_wind(f)}"
    return f"{_SLUGS[f.text('rating')]}, if the night is like the last: {night}."


def _wet_and_wind(f: Figures) -> str:
    return f"{wind(f)} of wind and {rain(f)} of rain"


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (
        thin_tonight,
        evening_not_known,
        frost_tonight,
        frost_near_the_ground,
        no_frost_tonight,
        night_not_known,
        cover_tonight,
        lift_tonight,
        slug_night,
        slugs_by_yesterday,
    )
}
