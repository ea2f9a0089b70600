"""A verdict in plain words, made from its stored rule and values alone."""

from collections.abc import Callable, Mapping

from plots.rotation.verdicts import JSON, Verdict

Values = Mapping[str, JSON]

SEASON_VALUES = ("season", "record_since", "free_from_season", "earlier_last_seasons")

# Field trials disagree on how much a rest achieves against some diseases, so no sentence promises a cure.
LOWERS_RISK = "Rest lowers the risk from soil pests and diseases; it does not remove it."


def sentence(verdict: Verdict) -> str:
    """Return one to three plain sentences, with areas in square metres and rests in seasons."""
    return explain(verdict.rule, verdict.values)


def explain(rule: str, values: Values, *, season_name: Callable[[int], str] = str) -> str:
    """Return the sentences for a rule and values kept in the database; KeyError for a rule not known here.

    ``season_name`` says how a season is written, for sites whose growing year is not the calendar year.
    """
    named = {key: _named(values.get(key), season_name) for key in SEASON_VALUES}
    return SENTENCES[rule]({**values, **named})


def _named(value: JSON, season_name: Callable[[int], str]) -> JSON:
    if isinstance(value, list):
        return [season_name(int(season)) for season in value]
    return season_name(value) if isinstance(value, int) else None


def _under_minimum(values: Values) -> str:
    minimum = values["minimum_seasons"]
    return f"{_found(values)} {_between(values)}, under the minimum of {minimum}. {_free(values)}"


def _under_recommended(values: Values) -> str:
    minimum = values["minimum_seasons"]
    met = (
        "is met" if _number(values["known_seasons"]) >= _number(minimum) else "is met as far as is on record"
    )
    return (
        f"{_found(values)} {_between(values)}: the minimum of {minimum} {met}, "
        f"the recommended {values['recommended_seasons']} is not. {_free(values)}"
    )


def _coarse_record(values: Values) -> str:
    maybe = (
        f"{str(values['family_name']).capitalize()} may lie in up to {_area(values)} of this ground "
        if _claim(values) == "problem"
        else f"Up to {_area(values)} of this ground may have carried {_group(values)} "
    )
    return (
        f"{maybe}({_earlier(values)}); the record is too coarse to be certain, or was never confirmed. "
        f"{_between(values)} if it did; "
        f"the minimum is {values['minimum_seasons']}, {values['recommended_seasons']} is recommended. "
        f"{_free(values)}"
    )


def _no_record(values: Values) -> str:
    asked = f"{_seasons(values['recommended_seasons'])} are recommended for the {values['family_name']}"
    if values["record_since"] is None:
        return f"There is no record of this ground, so it does not count as rested; {asked}."
    return (
        f"The record of this ground begins in {values['record_since']}, {_seasons(values['known_seasons'])} "
        f"before {values['season']}, and {asked}. Nothing in it stands against this sowing, "
        f"but ground with no record does not count as rested.{_left_out(values)}"
    )


def _rested(values: Values) -> str:
    return (
        f"No crop of the {values['family_name']} is on record here in the "
        f"{_seasons(values['recommended_seasons'])} before {values['season']}.{_left_out(values)}"
    )


def _no_rule(values: Values) -> str:
    return f"No rest period is on file for {values['crop']} ({values['family']}), so it is not judged."


SENTENCES: Mapping[str, Callable[[Values], str]] = {
    "rotation-under-minimum": _under_minimum,
    "rotation-under-recommended": _under_recommended,
    "rotation-coarse-record": _coarse_record,
    "rotation-no-record": _no_record,
    "rotation-rested": _rested,
    "rotation-no-rule": _no_rule,
}


def _found(values: Values) -> str:
    if _claim(values) == "problem":
        name = str(values["family_name"])
        return (
            f"{name[:1].upper()}{name[1:]} was seen on {_area(values)} of this ground ({_earlier(values)})."
        )
    return f"{_area(values)} of this ground carried {_group(values)} ({_earlier(values)})."


def _claim(values: Values) -> str:
    return str(values.get("claim", "family"))


def _group(values: Values) -> str:
    """'the carrot family', 'root crops'."""
    return str(values["family_name"]) if _claim(values) == "roots" else f"the {values['family_name']}"


def _area(values: Values) -> str:
    return f"{_square_metres(values['area_m2'])} ({_number(values['share']) * 100:.0f} %)"


def _earlier(values: Values) -> str:
    crops, seasons = values["earlier_crops"], values["earlier_last_seasons"]
    if not isinstance(crops, list) or not isinstance(seasons, list):
        raise TypeError("earlier_crops and earlier_last_seasons must be lists that run together")
    named = dict.fromkeys(f"{crop} in {season}" for crop, season in zip(crops, seasons, strict=True))
    return "; ".join(named)


def _between(values: Values) -> str:
    count = values["seasons_between"]
    if count == 0:
        return "No full season lies between"
    return f"{_seasons(count)} {'lies' if count == 1 else 'lie'} between"


def _free(values: Values) -> str:
    free = {"problem": "its hosts", "roots": "root crops"}.get(_claim(values), "this family")
    disputed = f" Sources disagree: {values['dispute']}." if values.get("dispute") else ""
    return f"The ground is free for {free} from {values['free_from_season']}. {LOWERS_RISK}{disputed}"


def _left_out(values: Values) -> str:
    if not _number(values["left_out_m2"]):
        return ""
    return (
        f" An overlap of {_square_metres(values['left_out_m2'])} is left out as too small to matter: "
        "strips under 5 cm wide, and less than 0.05 m² that is also under 5 % of the patch."
    )


def _seasons(count: JSON) -> str:
    return "1 full season" if count == 1 else f"{count} full seasons"


def _square_metres(area: JSON) -> str:
    return f"{_number(area):.2f} m²"


def _number(value: JSON) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"{value!r} stands where a number belongs")
    return value
