"""What a problem means in words: how much longer its hosts rest, and what plots beside it are told."""

from datetime import date

import pytest

from plots.rotation import Customs, RestWish, problems, rest_rules
from schedules.sighting_words import problem_words, words_beside
from tests import factories

SEEN = date(2026, 8, 1)


@pytest.mark.parametrize("key", sorted(problems()))
def test_every_problem_can_be_told_with_its_source(key):
    problem = problems()[key]
    words = problem_words(problem, Customs())
    assert problem.rest.source in words.source
    assert problem.rest.stated_as in words.published
    assert len(words.lengthens) >= 1
    assert bool(words.dispute) == bool(problem.rest.dispute)


def test_white_rot_lengthens_the_rest_by_as_many_seasons_as_its_sources_say():
    """Survives more than 20 years (UC IPM); onions rest 3 seasons anyway, 2 at the least."""
    assert problem_words(problems()["white-rot"], Customs()).lengthens == (
        "The onion family rests 17 seasons longer here: 20 full seasons are advised instead of 3; 20 instead "
        "of 2 are the least.",
    )


def test_the_societys_own_rest_is_what_a_problem_lengthens():
    own = Customs(rests={"Brassicaceae": RestWish(4, 6)})
    assert problem_words(problems()["clubroot"], own).lengthens == (
        "The cabbage family rests one season longer here: 7 full seasons are advised instead of 6; the least "
        "stays 4.",
    )


def test_a_crop_without_a_rest_of_its_family_rests_where_it_was_seen():
    """Rhubarb hosts the beet cyst nematode; the dock family has no published rest."""
    assert "Polygonaceae" not in rest_rules()
    lengthens = problem_words(problems()["beet-cyst-nematode"], Customs()).lengthens
    assert "Rhubarb rests here, and nowhere else: 5 full seasons are advised, 3 are the least." in lengthens


@pytest.mark.django_db
def test_a_letter_learns_of_all_plots_in_one_query(django_assert_num_queries):
    cast = factories.make_cast(since=date(2020, 1, 1), normals=False)
    factories.make_sighting(
        cast.bed, "clubroot", on=SEEN, is_sure=True, tell_neighbours=True, member=cast.ana
    )
    factories.make_sighting(cast.bed, "cavity-spot", on=SEEN, tell_neighbours=True)
    factories.make_sighting(cast.bed, "white-rot", on=SEEN)
    with django_assert_num_queries(1):
        told = words_beside([cast.plot, cast.other_plot])
    assert told[cast.plot.pk] == []
    first, second = told[cast.other_plot.pk]
    assert first.startswith("Cavity spot may have been seen on ground beside yours.")
    assert second.startswith(
        "Clubroot was seen on ground beside yours. It travels with soil on boots and tools."
    )
    assert "Ana" not in first + second
