"""The pages of coming seasons: wishes, proposals, a changed cell, adoption."""

import re
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from shapely import Polygon

from plots.crops import crop
from plots.models import LayoutAsk, LayoutProposal, LayoutWish, Sowing
from schedules.models import Job
from schedules.sowing_services import sowing_plan
from society import clock
from tests import factories
from tests.schedules.pages.conftest import SINCE


def sent(cast, *rows: dict[str, Any], seasons: int = 2, **fields: Any) -> dict[str, Any]:
    """What a browser sends: every field of the form, empty where nothing was written."""
    data: dict[str, Any] = {"first_season": 2027, "seasons": seasons, "version": 0, "action": "propose"}
    for number in range(max(4, len(rows))):
        data |= {f"crop_{number}": "", f"unit_{number}": "area", f"weight_{number}": "1.0"}
    for number, row in enumerate(rows):
        data |= {f"{name}_{number}": value for name, value in row.items()}
    for number in range(2):
        data |= {f"place_{name}_{number}": "" for name in ("crop", "piece", "kind", "season")}
    return data | fields


def row(crop: str, amount: str, *, unit: str = "area") -> dict[str, Any]:
    return {"crop": crop, "unit": unit, "amounts": amount}


def posted(client, cast, *rows: dict[str, Any], seasons: int = 2, **fields: Any):
    plain = [{name: value for name, value in each.items() if name != "amounts"} for each in rows]
    data = sent(cast, *plain, seasons=seasons, **fields)
    for number, each in enumerate(rows):
        for season in range(2027, 2031):
            data[f"amount_{number}_{season}"] = each["amounts"]
    return client.post(reverse("layouts", args=[cast.plot.pk]), data)


@pytest.fixture
def ana(cast, as_account):
    for number in (2, 3):
        factories.make_bed(cast.plot, f"bed {number}", since=SINCE, corner=(1.0, 1.0 + 2 * (number - 1)))
    return as_account(cast.ana_account)


def the_page(client, proposal: LayoutProposal, **data: Any):
    address = reverse("layout", args=[proposal.plot_id, proposal.pk])
    return client.post(address, data) if data else client.get(address)


def test_the_form_begins_with_what_grows_this_season(cast, ana):
    factories.make_sowing(cast.bed, "carrot-early", season=2027)
    form = ana.get(reverse("layouts", args=[cast.plot.pk])).context["form"]
    assert form["crop_0"].value() == "carrot-early"
    assert form["amount_0_2028"].value() == "6"


def test_wishes_make_a_proposal_with_a_table_and_drawings(cast, ana):
    answer = posted(ana, cast, row("carrot-early", "6"), row("pea", "3"))
    proposal = LayoutProposal.objects.get()
    assert answer.url == reverse("layout", args=[cast.plot.pk, proposal.pk])
    page = the_page(ana, proposal).content.decode()
    assert page.count('<svg xmlns="http://www.w3.org/2000/svg" class="plan"') == 2
    assert "Carrot, early (Ap), 6 m²" in page
    assert "that is proven" in page
    assert page.count('id="s2027-plan-title"') == 1


def test_rows_count_with_the_spacing_of_the_crop(cast, ana):
    posted(ana, cast, row("carrot-early", "10", unit="rows"), seasons=1)
    wish = LayoutWish.objects.get()
    assert wish.area_m2 == pytest.approx(10 * crop("carrot-early").number("row_spacing_mm") / 1000)
    assert wish.in_rows
    form = ana.get(reverse("layouts", args=[cast.plot.pk])).context["form"]
    assert form["amount_0_2027"].value() == "10"


def test_an_impossible_wish_is_answered_in_words(cast, ana):
    """All beds are wanted for carrots two years running: the second year can have none of them."""
    posted(ana, cast, row("carrot-early", "18"), seasons=2)
    page = the_page(ana, LayoutProposal.objects.get()).content.decode()
    assert "Not every wish finds its ground" in page
    assert "found no place" in page
    assert "too near for its family" in page


def test_faults_are_named_by_field_and_nothing_is_saved(cast, ana):
    answer = posted(ana, cast, row("", "6"), row("pea", "a lot"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Choose the crop of these amounts" in page
    assert "“a lot” is no measure" in page
    assert not LayoutWish.objects.exists()


def test_a_crop_that_stands_twice_is_refused_by_row(cast, ana):
    answer = posted(ana, cast, row("pea", "2"), row("pea", "3"))
    assert answer.status_code == 422
    assert "Row 2: Pea stands twice" in answer.content.decode()


def test_a_changed_cell_shows_its_cost_at_once_and_can_be_kept(cast, ana):
    posted(ana, cast, row("carrot-early", "6"), seasons=1)
    proposal = LayoutProposal.objects.get()
    [[piece, wish, _]] = proposal.answer["shares"]
    other = next(str(bed.pk) for bed in cast.plot.beds.all() if str(bed.pk) != piece)
    looked = the_page(ana, proposal, action="look", piece=other, wish=wish).content.decode()
    assert "This change costs nothing" in looked
    assert LayoutProposal.objects.count() == 1
    the_page(ana, proposal, action="keep", piece=other, wish=wish)
    kept = LayoutProposal.objects.get(origin="changed")
    assert kept.beside == proposal
    assert kept.answer["shares"] == [[other, wish, 6.0]]


def test_a_change_that_leaves_a_wish_without_ground_says_which(cast, ana):
    posted(ana, cast, row("carrot-early", "18"), seasons=1)
    looked = the_page(
        ana, LayoutProposal.objects.get(), action="look", piece=str(cast.bed.pk), wish="2027:"
    ).content.decode()
    # A third of a whole wish, which is 1000, less the 0.1 of a third piece.
    assert "This change costs 333.2 points" in looked
    assert "Carrot (early) in 2027: 6 m² of 18 m² found no place" in looked


def test_a_change_that_breaks_a_rest_says_so_first(cast, ana):
    lifted = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 9, 1)}
    factories.make_sowing(cast.bed, "parsnip", season=2026, **lifted)
    posted(ana, cast, row("carrot-early", "6"), seasons=1)
    looked = the_page(
        ana, LayoutProposal.objects.get(), action="look", piece=str(cast.bed.pk), wish="2027:carrot-early"
    ).content.decode()
    assert "<h1>This change breaks a rest</h1>" in looked
    assert "Carrot (early) in 2027 on bed 1 stands on ground that is not free for it." in looked


def test_a_second_proposal_stands_beside_the_first(cast, ana):
    posted(ana, cast, row("carrot-early", "6"), row("pea", "6"), seasons=1)
    first = LayoutProposal.objects.get()
    the_page(ana, first, action="second")
    second = LayoutProposal.objects.get(origin="second")
    assert second.answer["shares"] != first.answer["shares"]
    assert reverse("layout", args=[cast.plot.pk, second.pk]) in the_page(ana, first).content.decode()


def test_adopting_plans_strips_side_by_side_and_keeps_what_is_planned(cast, ana):
    there = factories.make_sowing(cast.plot.beds.get(name="bed 2"), "leek", season=2027)
    posted(ana, cast, row("carrot-early", "4"), row("pea", "4"), row("beetroot-early", "4"), seasons=2)
    proposal = LayoutProposal.objects.get()
    assert the_page(ana, proposal, action="adopt").status_code == 302
    sowings = list(Sowing.objects.filter(patch__plot=cast.plot).select_related("patch", "verdict"))
    assert there in sowings
    for season in (2027, 2028):
        shapes = [Polygon(each.patch.outline) for each in sowings if each.season == season]
        assert sum(shape.area for shape in shapes) == pytest.approx(18 if season == 2027 else 12, abs=0.1)
        for at, one in enumerate(shapes):
            assert all(one.intersection(other).area < 0.01 for other in shapes[at + 1 :])
    levels = {each.verdict.level for each in sowings if each != there}
    assert levels <= {"sound", "short", "no record"}
    assert "Adopted on" in the_page(ana, proposal).content.decode()
    assert the_page(ana, proposal, action="adopt").status_code == 422


def test_a_layout_is_refused_when_the_ground_changed(cast, ana):
    posted(ana, cast, row("carrot-early", "18"), seasons=1)
    proposal = LayoutProposal.objects.get()
    factories.make_sowing(cast.bed, "pea", season=2027)
    assert "out of date: the ground changed" in the_page(ana, proposal).content.decode()
    answer = the_page(ana, proposal, action="adopt")
    assert answer.status_code == 422
    assert Sowing.objects.count() == 1


def test_what_is_in_the_way_is_named_and_nothing_is_planned(cast, ana, monkeypatch):
    """A plan that came between looking and saving: told as the ground's own rule tells it, all or nothing."""
    posted(ana, cast, row("carrot-early", "6"), row("pea", "6"), row("beetroot-early", "6"), seasons=1)
    proposal = LayoutProposal.objects.get()
    monkeypatch.setattr("schedules.layout_adoption.stale_words", lambda *_: "")
    factories.make_sowing(cast.bed, "leek", season=2027)
    answer = the_page(ana, proposal, action="adopt")
    assert answer.status_code == 422
    assert "Bed 1, 2027," in answer.content.decode()
    assert "which is planned there for 2027" in answer.content.decode()
    assert Sowing.objects.count() == 1


def test_the_pages_ask_a_bounded_number_of_questions(cast, ana, django_assert_max_num_queries):
    for season in range(2010, 2027):
        factories.make_sowing(cast.bed, "pea", season=season, state="lifted", ended_on=date(season, 9, 1))
    posted(ana, cast, row("carrot-early", "3"), row("pea", "3"), row("leek", "3"), seasons=6)
    with django_assert_max_num_queries(34):
        the_page(ana, LayoutProposal.objects.get())
    with django_assert_max_num_queries(24):
        ana.get(reverse("layouts", args=[cast.plot.pk]))


def side_by_side(ana, cast) -> tuple[LayoutProposal, LayoutProposal]:
    posted(ana, cast, row("carrot-early", "6"), row("pea", "6"), seasons=2)
    first = LayoutProposal.objects.get()
    the_page(ana, first, action="second")
    return first, LayoutProposal.objects.get(origin="second")


def beside(client, second: LayoutProposal) -> str:
    answer = client.get(reverse("layouts-beside", args=[second.plot_id, second.pk]))
    assert answer.status_code == 200
    return answer.content.decode()


def test_two_proposals_stand_side_by_side_place_by_place(cast, ana):
    first, second = side_by_side(ana, cast)

    page = beside(ana, second)

    assert reverse("layouts-beside", args=[cast.plot.pk, second.pk]) in the_page(ana, first).content.decode()
    assert re.search(r"<h1>Two layouts that differ in (two|three|four|five|six) of 6 places</h1>", page)
    assert page.count('class="is-other"') + page.count('<span class="kind">Both</span>') == 6
    assert page.count('<svg xmlns="http://www.w3.org/2000/svg" class="plan"') == 4
    names = re.findall(r' id="([^"]+)"', page)
    assert len(names) == len(set(names))
    assert set(re.findall(r"url\(#([^)]+)\)", page)) <= set(names)


def test_either_of_two_is_adopted_from_where_they_stand(cast, ana):
    _, second = side_by_side(ana, cast)
    page = beside(ana, second)
    assert "Adopt the first" in page
    assert "Adopt the second" in page

    the_page(ana, second, action="adopt")

    page = beside(ana, second)
    assert "Adopted on" in page
    assert "Adopt the" not in page


def test_a_first_proposal_stands_beside_nothing(cast, ana):
    first, _ = side_by_side(ana, cast)

    answer = ana.get(reverse("layouts-beside", args=[cast.plot.pk, first.pk]))

    assert answer.status_code == 404


def test_wishes_and_adoption_are_read_in_the_journal(cast, ana, as_account):
    posted(ana, cast, row("carrot-early", "6"), row("pea", "6"), seasons=1)
    version = LayoutAsk.objects.get().version
    posted(ana, cast, row("carrot-early", "6"), row("pea", "6"), seasons=1, version=version)
    the_page(ana, LayoutProposal.objects.get(), action="adopt")

    page = as_account(cast.dee_account).get(reverse("committee-journal")).content.decode()

    assert page.count("wrote down what shall grow on plot 7 in the coming seasons") == 1
    assert "adopted a layout of plot 7: sowings planned, 2" in page


def test_adopting_many_sowings_asks_little_for_each(cast, ana):
    """Planned together: what the site's weather and record say is read once, not once a sowing."""
    asked = []
    for crops in (["pea"], ["leek", "lettuce", "radish", "onion-sets", "beetroot-early", "kohlrabi"]):
        version = getattr(LayoutAsk.objects.first(), "version", 0)
        posted(ana, cast, *(row(crop, "1") for crop in crops), seasons=1, version=version)
        with CaptureQueriesContext(connection) as queries:
            the_page(ana, LayoutProposal.objects.latest("pk"), action="adopt")
        asked.append((Sowing.objects.count(), len(queries)))

    (one, few), (all_of_them, many) = asked
    assert (one, all_of_them) == (1, 7)
    assert (many - few) / 5 < 10


def test_adopted_together_or_one_by_one_the_plans_are_the_same(cast, ana):
    posted(ana, cast, row("carrot-early", "4"), row("pea", "4"), row("leek", "3"), seasons=2)
    the_page(ana, LayoutProposal.objects.get(), action="adopt")
    together = plans()
    outlines = [(each.patch.bed, each.crop, each.season, each.patch.outline) for each in the_sowings()]
    Sowing.objects.all().delete()

    for bed, key, season, outline in outlines:
        sowing_plan(
            plot=cast.plot, bed=bed, crop_key=key, season=season, place=outline, member=None, account=None,
            now=clock.now(),
        )  # fmt: skip

    assert len(together) > 20
    assert plans() == together


def the_sowings() -> list[Sowing]:
    return list(Sowing.objects.select_related("patch__bed", "verdict").order_by("pk"))


def plans() -> list[tuple[Any, ...]]:
    """Every job with its days, and every verdict, by crop, season and ground."""
    jobs = [
        (
            job.sowing.crop,
            job.sowing.season,
            str(job.sowing.patch.outline),
            job.kind,
            job.stage,
            job.start_on,
            job.by_on,
        )
        for job in Job.objects.select_related("sowing__patch")
    ]
    verdicts = [
        (
            each.crop,
            each.season,
            str(each.patch.outline),
            each.verdict.level,
            each.verdict.free_from_season,
            "",
            "",
        )
        for each in the_sowings()
    ]
    return sorted([*jobs, *verdicts], key=str)
