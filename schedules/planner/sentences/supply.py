"""Sentences about what to have at hand."""

from schedules.planner.sentences.wording import Figures, Sentence, plain

GRAMS_PER_OUNCE = 28.349523
ML_PER_FLUID_OUNCE = 28.413063
M_PER_FOOT = 0.3048
_PIECES = {
    "set": ("set", "sets"),
    "tuber": ("seed tuber", "seed tubers"),
    "clove": ("clove", "cloves"),
    "transplant": ("young plant", "young plants"),
    "crown": ("crown", "crowns"),
    "cutting": ("root cutting", "root cuttings"),
    "runner": ("rooted runner", "rooted runners"),
    "offset": ("offset", "offsets"),
}


def seed_needed(f: Figures) -> str:
    return (
        f"Have about {_number(f, 'seeds')} seeds at hand for {_row(f)}{_packed(f)}. That leaves enough for "
        f"{_number(f, 'places')} {_plants(f)} {_reckoned(f)}."
    )


def plants_needed(f: Figures) -> str:
    return (
        f"Have {_number(f, 'pieces')} young plants at hand for {_row(f)}, {_spare(f)}. To raise them, sow "
        f"about {_number(f, 'seeds')} seeds{_packed(f)}, {_reckoned(f)}."
    )


def pieces_needed(f: Figures) -> str:
    one, many = _PIECES[f.text("grown_from")]
    noun = one if f.number("pieces") == 1 else many
    spare = f", {_spare(f)}" if f.number("spare") else ""
    return f"Have {_number(f, 'pieces')} {noun} at hand for {_row(f)}{spare}."


def sand_for_fine_seed(f: Figures) -> str:
    sand = _volume(f, "sand_ml")
    return f"Mix the seed, which is fine, with about {sand} of dry sand so that it falls evenly."


def buy_fresh_seed(f: Figures) -> str:
    years = f.number("seed_keeps_years")
    keeps = "1 year" if years == 1 else f"{plain(years)} years"
    return f"Buy fresh seed of {f.text('crop')}: it keeps for about {keeps}, dry and cool."


def _plants(f: Figures) -> str:
    return "plant" if f.number("places") == 1 else "plants"


def _spare(f: Figures) -> str:
    return f"{_number(f, 'spare')} to spare"


def _reckoned(f: Figures) -> str:
    if not f.has("germination_standard_pct"):
        return f"if {f.count('field_factor_pct')} of 100 seeds make a plant"
    return (
        f"if {f.count('germination_standard_pct')} of 100 seeds are alive, the least that may be sold, and "
        f"{f.count('field_factor_pct')} of 100 living ones make a plant"
    )


def _packed(f: Figures) -> str:
    """Return weight and packets as a clause."""
    said = [_weight(f, "seed_g")] if f.has("seed_g") else []
    if f.has("packets"):
        packets = f.number("packets")
        noun = "packet" if packets == 1 else "packets"
        said.append(f"{_number(f, 'packets')} {noun} of about {f.count('packet_seeds')}")
    return f", {' or '.join(said)}" if said else ""


def _number(f: Figures, name: str) -> str:
    """Return a count as people say it: exact below a hundred, then to two figures."""
    number = f.number(name)
    digits = 10 ** max(0, len(f"{number:.0f}") - 2)
    return f"{round(number / digits) * digits:.0f}"


def _row(f: Figures) -> str:
    metres = f.number("row_m")
    return f"{metres / M_PER_FOOT:.0f} ft of row" if f.imperial else f"{plain(metres)} m of row"


def _weight(f: Figures, name: str) -> str:
    grams = f.number(name)
    if f.imperial:
        ounces = grams / GRAMS_PER_OUNCE
        return "under 0.01 oz" if ounces < 0.01 else f"{ounces:.2f} oz"
    return f"{plain(grams)} g" if grams >= 1 else f"{grams:.2g} g"


def _volume(f: Figures, name: str) -> str:
    millilitres = f.number(name)
    if f.imperial:
        return f"{plain(millilitres / ML_PER_FLUID_OUNCE)} fl oz"
    return f"{millilitres:.0f} ml"


SENTENCES: dict[str, Sentence] = {
    each.__name__: each
    for each in (seed_needed, plants_needed, pieces_needed, sand_for_fine_seed, buy_fresh_seed)
}
