"""Ground at rest: the figures drawn, the table, the checker's answer, seasons, and who may look."""

import re
from datetime import date

import pytest
from django.db import connection
from django.template import engines
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.ground_services import ground_check
from plots.models import GroundCustoms, Sighting
from plots.outlines import rectangle
from plots.rest_selectors import pieces_there, rests_from
from tests.factories import (
    instant,
    make_bed,
    make_plot,
    make_sighting,
    make_site,
    make_sowing,
    make_verdict,
)
from tests.schedules.pages.conftest import SINCE, TODAY

NOW = instant(TODAY, 8)


def lifted(season: int) -> dict[str, object]:
    return {"state": "lifted", "sown_on": date(season, 4, 1), "ended_on": date(season, 8, 1)}


def rest_of(client, site, **query) -> str:
    answer = client.get(reverse("ground-rest", args=[site.slug]), query)
    assert answer.status_code == 200
    return answer.content.decode()


def drawn(page: str) -> list[str]:
    """The figures set large in the beds, in the order in which the beds are drawn."""
    plan = page[page.index('class="plan-sheet rest-plan"') : page.index("<figcaption>")]
    return re.findall(r'class="plan-rest[^"]*"[^>]*>([^<]+)</text>', plan)


def tabled(page: str) -> list[str]:
    return re.findall(r'class="rest-figure">.*?<strong>([^<]+)</strong>', page)


def known_since(plot, season: int | None) -> None:
    plot.record_since = season
    plot.save()


def clubroot(bed) -> Sighting:
    """Seen for certain last season."""
    return make_sighting(bed, "clubroot", on=date(2026, 7, 1), is_sure=True)


@pytest.fixture
def worked(cast):
    """Five beds of plot 7: tired, tired longer, rested, remembered roughly, and one of plot 8 unknown."""
    known_since(cast.plot, 2015)
    known_since(cast.other_plot, None)
    beds = [
        cast.bed,
        *(make_bed(cast.plot, f"bed {n}", since=SINCE, corner=(7, 1.0 + 1.5 * n)) for n in (2, 3, 10)),
    ]
    make_sowing(beds[0], season=2023, **lifted(2023))
    make_sowing(beds[1], "parsnip", season=2026, **lifted(2026))
    make_sowing(beds[2], "turnip", season=2026, **lifted(2026))
    rough = make_sowing(beds[3], season=2024, **lifted(2024)).patch
    rough.is_coarse = True
    rough.save()
    return beds


def test_the_figures_drawn_are_those_of_the_table(cast, worked, as_account):
    page = rest_of(as_account(cast.ana_account), cast.site)

    # five full seasons for the carrot family: 2023 leaves 2029, 2026 leaves 2032, 2024 leaves 2030
    assert drawn(page) == tabled(page) == ["2", "5", "0", "3?", "?"]
    assert "Roots may return to 1 of 5 beds in 2027; of one too little is known" in page


@pytest.mark.parametrize("season", [2024, 2027, 2031])
@pytest.mark.parametrize(("family", "crop"), [("Apiaceae", "carrot-early"), ("Brassicaceae", "turnip")])
def test_every_figure_is_what_the_checker_says_of_a_sowing_there(cast, worked, season, family, crop):
    rests = rests_from(
        cast.site,
        pieces_there(cast.site, season=season, today=TODAY),
        family=family,
        season=season,
        present=2027,
    )

    for rest in rests:
        sowing = make_sowing(rest.piece.bed, crop, season=season)
        ground_check(site=cast.site, now=NOW, season=season)
        sowing.refresh_from_db()
        verdict = sowing.verdict
        assert verdict.level == rest.level
        if rest.seasons:
            assert verdict.free_from_season - season == rest.seasons
        assert verdict.free_from_season == (rest.free_from if rest.seasons != 0 else None)
        sowing.delete()


def test_ground_without_record_is_not_called_rested(cast, as_account):
    known_since(cast.plot, None)
    known_since(cast.other_plot, 2025)
    page = rest_of(as_account(cast.ana_account), cast.site)

    assert drawn(page) == ["?", "?"]
    assert "Roots may return to 0 of 2 beds" in page
    assert page.count("No record</span>") == 2


def test_a_coarse_record_is_drawn_as_coarse(cast, worked, as_account):
    page = rest_of(as_account(cast.ana_account), cast.site)

    assert page.count('fill="url(#s1-rest-coarse)"') == 2  # the bed, and the key
    assert "Plot 7, bed 10: perhaps three seasons, from 2030" in page


def test_beds_come_in_the_order_in_which_people_count(cast, worked, as_account):
    make_plot(cast.site, "10", laid_out_on=SINCE, corner=(0, 20))

    page = rest_of(as_account(cast.ana_account), cast.site)

    places = re.findall(r'<th scope="row">(Plot [^<]+)</th>', page)
    assert places == [
        *(f"Plot 7, bed {number}" for number in (1, 2, 3, 10)), "Plot 8, bed 1", "Plot 10, no bed laid out",
    ]  # fmt: skip


def test_a_season_ahead_counts_what_is_planned_until_then(cast, worked, as_account):
    make_sowing(worked[2], season=2028)

    page = rest_of(as_account(cast.ana_account), cast.site, season=2029)

    assert drawn(page)[:4] == ["0", "3", "5", "1?"]


def test_seasons_go_from_the_first_on_record_to_six_ahead(cast, worked, as_account):
    client = as_account(cast.ana_account)

    first, last = (rest_of(client, cast.site, season=season) for season in (2023, 2033))

    assert 'min="2023" max="2033" step="1" value="2023"' in first
    assert 'rel="prev"' not in first
    assert 'rel="next" href="?season=2024">Season after, 2024' in first
    assert 'rel="next"' not in last


@pytest.mark.parametrize(
    "query", [{"season": "2022"}, {"season": "2034"}, {"season": "soon"}, {"family": "Poaceae"}]
)
def test_what_is_not_offered_is_not_found(cast, worked, as_account, query):
    answer = as_account(cast.ana_account).get(reverse("ground-rest", args=[cast.site.slug]), query)

    assert answer.status_code == 404


def test_another_family_is_chosen_by_a_plain_select(cast, worked, as_account):
    page = rest_of(as_account(cast.ana_account), cast.site, family="Brassicaceae")

    assert drawn(page)[:3] == ["0", "0", "5"]
    assert '<option value="Brassicaceae" selected>Cabbage family</option>' in page


def test_one_plot_is_shown_alone_and_large(cast, worked, as_account):
    client = as_account(cast.ana_account)
    every, alone = rest_of(client, cast.site), rest_of(client, cast.site, plot="7")

    assert (len(tabled(every)), len(tabled(alone))) == (5, 4)
    assert drawn(alone) == tabled(alone) == tabled(every)[:4]
    assert "of plot 7 in 2027" in alone
    assert '<option selected value="7">Plot 7</option>' in alone
    assert "Plot 7 to scale" in alone
    assert ">8</text>" in every
    assert ">8</text>" not in alone


def test_a_plot_that_is_not_there_shows_all(cast, worked, as_account):
    client = as_account(cast.ana_account)
    assert tabled(rest_of(client, cast.site, plot="70")) == tabled(rest_of(client, cast.site))


def test_a_problem_seen_counts_with_its_reason(cast, worked, as_account):
    clubroot(worked[0])

    page = rest_of(as_account(cast.ana_account), cast.site, family="Brassicaceae")

    assert int(drawn(page)[0]) > 5
    assert "Why<span" in page


def test_the_societys_rule_for_roots_counts(cast, worked, as_account):
    GroundCustoms.objects.create(society=cast.society, root_after_root_seasons=2)

    page = rest_of(as_account(cast.ana_account), cast.site)

    assert drawn(page)[2] == "2"  # turnip in 2026, so roots from 2029 on


def test_broken_rests_of_the_season_stand_below(cast, as_account):
    make_sowing(cast.bed, season=2026, **lifted(2026))
    make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)

    page = rest_of(as_account(cast.ana_account), cast.site)

    assert "Under the least rest</span>: 6.0 m² of it, 100 %; free from 2032" in page
    assert "Overrule" not in page
    assert "None: no sowing" in rest_of(as_account(cast.ana_account), cast.site, season=2029)


def test_an_allowance_is_told_without_who_gave_it_and_why(cast, as_account):
    make_verdict(
        make_sowing(cast.bed, season=2027), level="broken", judged_at=NOW, rule="rotation-no-rule",
        values={"crop": "Carrot", "family": "Apiaceae"}, overruled_by=cast.dee, overruled_at=NOW,
        overruled_because="Because of the new soil.",
    )  # fmt: skip

    page = rest_of(as_account(cast.ana_account), cast.site)

    assert "The committee allowed it." in page
    assert "Dee Sexton" not in page
    assert "new soil" not in page


def test_many_plots_are_drawn_on_several_sheets(cast, as_account):
    for number in range(9, 33):
        make_plot(cast.site, f"{number}", laid_out_on=SINCE, corner=(0, 9.0 * number))
    client = as_account(cast.ana_account)

    first, second, every = (rest_of(client, cast.site, sheet=sheet) for sheet in (1, 2, "all"))

    assert "Sheet 1 of 2, plots 7 to 30" in first
    assert "of 24 beds of plots 7 to 30 in 2027" in first
    assert "of 26 beds in 2027" in every
    assert "Sheet 2 of 2, plots 31 to 32" in second
    assert len(tabled(first)) + len(tabled(second)) == len(tabled(every)) == 26
    assert len(set(re.findall(r' id="([^"]+)"', every))) == len(re.findall(r' id="([^"]+)"', every))


def test_who_works_another_site_only_does_not_find_it(cast, as_account):
    other = make_site(cast.society, name="Birch Lane")

    assert as_account(cast.ana_account).get(reverse("ground-rest", args=[other.slug])).status_code == 404
    assert rest_of(as_account(cast.dee_account), other).count("No plot is laid out") == 1


@pytest.mark.parametrize("count", [1, 50])
def test_the_page_costs_the_same_for_one_and_for_fifty(cast, as_account, count):
    client = as_account(cast.ana_account)
    for number in range(count):
        plot = make_plot(cast.site, f"A{number}", laid_out_on=SINCE, corner=(40, 9 * number))
        bed = make_bed(plot, since=SINCE, corner=(41, 9 * number + 1))
        make_sowing(bed, season=2026, **lifted(2026))
        make_sowing(bed, season=2027)
        clubroot(bed)
    ground_check(site=cast.site, now=NOW)

    with CaptureQueriesContext(connection) as queries:
        rest_of(client, cast.site, sheet="all")

    # session, account, society, members, seat; site, sites worked; first sowing, other use; plots, beds;
    # customs in two, problems seen; sightings, sowings, other uses; warnings; the society again
    assert len(queries) == 19


def test_the_foot_of_a_printed_page_cannot_be_broken_out_of():
    template = engines["django"].from_string("{% load words %}{{ name|css_string }}")

    said = template.render({"name": '</style><b>"\\ x}\nÖ & Söhne'})

    assert said == '"\\3c \\2f style\\3e \\3c b\\3e \\22 \\5c  x\\7d Ö \\26  Söhne"'


def test_the_way_there_stands_on_my_ground(cast, as_account):
    page = as_account(cast.ana_account).get(reverse("my-ground")).content.decode()

    assert f'href="{reverse("ground-rest", args=[cast.site.slug])}"' in page


def test_a_withdrawn_problem_counts_no_more(cast, worked, as_account):
    clubroot(worked[0])
    Sighting.objects.update(withdrawn_at=NOW, withdrawn_because="It was drought.")

    assert drawn(rest_of(as_account(cast.ana_account), cast.site, family="Brassicaceae"))[0] == "0"


def test_a_container_of_fresh_mix_is_known_to_be_rested(cast, as_account):
    make_bed(
        cast.plot, "tub", since=SINCE, kind="container", outline=rectangle((7, 1), length_m=1, width_m=1)
    )

    page = rest_of(as_account(cast.ana_account), cast.site)

    assert drawn(page)[1] == "0"
