"""Sentences about insects on the wing, the covers against them, and frost."""

from schedules.planner.sentences import frosts, nights
from schedules.planner.sentences.wording import Figures, Sentence

_FLIES = {
    "carrot-fly": "carrot fly",
    "cabbage-root-fly": "cabbage root fly",
    "onion-fly": "onion fly",
    "bean-seed-fly": "bean seed fly",
}
_ORDER = {"first": "The first flight", "second": "The second flight", "third": "A third flight"}
_SINCE = {"seed": "sowing"}


def _fly(code: str) -> str:
    return _FLIES[code]


def _flies(code: str) -> str:
    return _FLIES[code].removesuffix("fly") + "flies"


def _since(f: Figures) -> str:
    return _SINCE.get(str(f.values.get("grown_from", "seed")), "planting")


def _flight(f: Figures) -> str:
    """Return what flies, and at which sums, without a full stop."""
    code, order = f.text("fly"), f.text("flight")
    if order in _ORDER:
        about = f"{_ORDER[order]} of the {_fly(code)} is ahead"
    else:
        when = "by then" if f.values.get("is_ahead") else "already"
        about = f"{_flies(code).capitalize()} may be about {when}"
    verb = "most fly" if code == "bean-seed-fly" else "flights begin"
    sums = f"{verb} near {f.heat('first_sum_cd')} above {f.degrees('base_c')}"
    if f.has("second_sum_cd"):
        sums += f", the second time near {f.heat('second_sum_cd')}"
        if f.number("second_base_c") != f.number("base_c"):
            sums += f" above {f.degrees('second_base_c')}"
    return f"{about}: {sums}, {f.basis}; flies may come sooner or later"


def cover_before_the_fly(f: Figures) -> str:
    limit = f", and be done by the early end of what is expected, about {f.day('threat_on')}"
    if f.values["is_before_thinning"]:
        limit = f", before the first thinning; flies may be about from {f.day('threat_on')}"
    if f.text("flight") not in _ORDER:
        limit = f", as soon as they are {'sown' if _since(f) == 'sowing' else 'planted'}"
    also = [_fly(each) for each in f.text("also").split(";") if each]
    others = f"; it keeps off {' and '.join(also)} too" if also else ""
    return f"Cover the rows with fine mesh, edges buried{limit}{others}. {_flight(f)}."


def mesh_stays_on(f: Figures) -> str:
    return (
        f"Leave the mesh on until you lift: the second flight of the {_fly(f.text('fly'))} is expected from "
        f"about {f.day('second_on')}, {f.basis}."
    )


def cover_seedlings(f: Figures) -> str:
    return f"Cover with fine mesh from {_since(f)}, edges buried, against flea beetle and cabbage root fly."


def fly_over_seedlings(f: Figures) -> str:
    return f"{_flight(f)}. The early end of what is expected is about {f.day('threat_on')}."


def cover_until_up(f: Figures) -> str:
    return (
        f"Cover the rows with fleece or fine mesh from {_since(f)} until they are up, and let the soil be "
        f"warm first, so that they come quickly. {_flight(f)}."
    )


def work_the_bed_early(f: Figures) -> str:
    return (
        f"Work the bed about {f.count('lead_weeks')} weeks before sowing and only rake it on the day: bean "
        "seed flies lay in freshly broken soil, and fresh manure draws them."
    )


def collar_the_stems(f: Figures) -> str:
    return (
        f"Set a collar of card or felt, about {f.height('collar_cm')} across, flat on the soil round each "
        "stem where the mesh does not reach."
    )


def flight_later_after_heat(f: Figures) -> str:
    return (
        f"Keep the mesh on if the second flight seems late: in {f.count('share_pct')} % of the seasons the "
        f"soil stays at {f.degrees('soil_c')} or more for days, and young pupae may then pause."
    )


def uncover_between_flights(f: Figures) -> str:
    return (
        f"Take the mesh off if you like: the first flight of the {_fly(f.text('fly'))} may be over by about "
        f"{f.day('over_on')}, and the crop should be lifted before the next, expected from "
        f"{f.day('second_on')}. Both days are {f.basis}."
    )


def uncover_strong_plants(f: Figures) -> str:
    since = "the rows show" if _since(f) == "sowing" else "planting"
    return (
        f"Take the mesh off if you like, some {f.count('weeks')} weeks after {since}: strong plants should "
        "by then bear what root fly maggots eat. Leave it on where pigeons and caterpillars come."
    )


def uncover_before_heat(f: Figures) -> str:
    sheet = {"fleece": "fleece", "film": "film"}[f.text("cover")]
    flies = [_flies(each) for each in f.text("flies").split(";") if each]
    mesh = f", and lay fine mesh instead against {' and '.join(flies)}" if flies else ""
    return (
        f"Take the {sheet} off before it heats, on a dull day{mesh}. A week's highs reach "
        f"{f.degrees('hot_c')} on average about then, {f.basis}."
    )


def height_is_no_cover(f: Figures) -> str:
    return (
        "Cover it all the same: common practice says the fly stays below about "
        f"{f.height('claimed_height_cm')}. Trap trials still found {f.count('catch_at_60_cm_pct')} % of the "
        f"catch near the ground at {_height(f, 60)} and {f.count('catch_at_90_cm_pct')} % at "
        f"{_height(f, 90)}."
    )


def _height(f: Figures, centimetres: float) -> str:
    return Figures({"cm": centimetres}, "imperial" if f.imperial else "metric").height("cm")


SENTENCES: dict[str, Sentence] = (
    frosts.SENTENCES
    | nights.SENTENCES
    | {
        each.__name__: each
        for each in (
            cover_before_the_fly,
            mesh_stays_on,
            cover_seedlings,
            fly_over_seedlings,
            cover_until_up,
            work_the_bed_early,
            collar_the_stems,
            flight_later_after_heat,
            uncover_between_flights,
            uncover_strong_plants,
            uncover_before_heat,
            height_is_no_cover,
        )
    }
)
