"""What a problem of the ground means for what may grow there, and what neighbours are told of it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from plots.crops import crop as crop_of
from plots.ground_history import ToldProblem, problems_told
from plots.models import Plot
from plots.other_use_families import plain_family_name
from plots.rotation import Customs, Problem, adapted, rest_rules
from schedules.ground_rest import hosts_words, is_family, listed
from society.templatetags.words import in_words


@dataclass(frozen=True, slots=True)
class ProblemWords:
    """A problem in sentences: whom it concerns, how much longer they rest, by what source, and what to do."""

    name: str
    hosts: str
    lengthens: tuple[str, ...]
    published: str
    source: str
    dispute: str
    advice: str


def problem_words(problem: Problem, customs: Customs) -> ProblemWords:
    """What is said of a problem wherever it is shown, beside the rests that the society keeps."""
    rest = problem.rest
    return ProblemWords(
        name=problem.name,
        hosts=hosts_words(problem.hosts),
        lengthens=tuple(_lengthens(problem, customs)),
        published=f"Published: {rest.stated_as} (read as “{rest.reading}”).",
        source=f"{rest.source} ({rest.basis})",
        dispute=f"Sources disagree: {problem.rest.dispute}." if problem.rest.dispute else "",
        advice=problem.advice,
    )


def _lengthens(problem: Problem, customs: Customs) -> Iterable[str]:
    """One sentence for each family that hosts it, or that the crops which host it are of."""
    families: dict[str, list[str]] = {}
    for host in sorted(problem.hosts):
        family = host if is_family(host) else crop_of(host).family
        crops = families.setdefault(family, [])
        if not is_family(host):
            crops.append(crop_of(host).name_in_text)
    for family, crops in families.items():
        who = listed(crops) if crops else f"the {plain_family_name(family)}"
        yield _longer(problem, family, f"{who[:1].upper()}{who[1:]}", customs, several=len(crops) > 1)


def _longer(problem: Problem, family: str, who: str, customs: Customs, *, several: bool) -> str:
    rule = rest_rules().get(family)
    rest = "rest" if several else "rests"
    least, advised = problem.rest.minimum_seasons, problem.rest.recommended_seasons
    if rule is None:
        return f"{who} {rest} here, and nowhere else: {_seasons(advised)} are advised, {least} are the least."
    own = adapted(rule, customs.rests.get(family))
    more = advised - own.recommended_seasons
    if more <= 0 and least <= own.minimum_seasons:
        kept = f"{own.recommended_seasons} advised, {own.minimum_seasons} at the least"
        hosts = ", but from every host of it" if len(problem.hosts) > 1 else ""
        return f"{who} {rest} no longer here than anyway ({kept}){hosts}."
    longer = (
        f"{in_words(more)} season{'' if more == 1 else 's'} longer here: {_seasons(advised)} are advised"
        f" instead of {own.recommended_seasons}"
        if more > 0
        else f"no longer here than the {own.recommended_seasons} seasons advised anyway"
    )
    if least <= own.minimum_seasons:
        return f"{who} {rest} {longer}; the least stays {own.minimum_seasons}."
    return f"{who} {rest} {longer}; {least} instead of {own.minimum_seasons} are the least."


def _seasons(count: int) -> str:
    return f"{count} full season{'' if count == 1 else 's'}"


def words_beside(plots: Sequence[Plot]) -> dict[int, list[str]]:
    """What the committee tells each of these plots, by its key, of problems beside it: for pages and letters.

    No person and no plot is named. One query.
    """
    return {key: [_told(each) for each in told] for key, told in problems_told(plots).items()}


def _told(each: ToldProblem) -> str:
    problem = each.problem
    seen = "was seen" if each.is_sure else "may have been seen"
    name = f"{problem.name[:1].upper()}{problem.name[1:]}"
    carried = "It travels with soil on boots and tools." if problem.is_carried_on_soil else ""
    said = (f"{name} {seen} on ground beside yours.", carried, problem.advice, _watch(problem))
    return " ".join(filter(None, said))


def _watch(problem: Problem) -> str:
    return f"It lives on {hosts_words(problem.hosts)}; tell the committee if you see it."
