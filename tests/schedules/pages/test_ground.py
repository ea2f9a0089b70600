"""My ground: every plot of an account in words; and a patch with its years."""

import re
from datetime import date

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.ground_services import ground_check
from plots.outlines import rectangle
from tests.factories import (
    instant,
    make_account,
    make_bed,
    make_ground_event,
    make_member,
    make_plot,
    make_sighting,
    make_sowing,
    make_tenancy,
)
from tests.schedules.pages.conftest import SINCE, TODAY

LIFTED = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}


def ground_of(client) -> str:
    return client.get(reverse("my-ground")).content.decode()


def patch_of(client, sowing) -> str:
    return client.get(reverse("patch", args=[sowing.patch.plot_id, sowing.patch_id])).content.decode()


def test_the_first_sentence_counts_what_stands_and_what_is_planned(cast, as_account):
    make_sowing(cast.bed, "carrot-early", season=2027, state="sown", sown_on=date(2027, 3, 10))
    make_sowing(make_bed(cast.plot, "bed 2", since=SINCE), "radish", season=2027, sow_on=date(2027, 5, 2))

    page = ground_of(as_account(cast.ana_account))

    assert "<h1>Plot 7: one crop stands and one is planned</h1>" in page
    assert ">Carrot, early</a>, since 10 March, <a" in page
    assert "</a>, bed 2, on 2 May</li>" in page


def test_area_is_told_in_square_metres_and_poles(cast, as_account):
    assert "160 m², about 6½ poles" in ground_of(as_account(cast.ana_account))


def test_an_empty_bed_says_from_what_it_rests_and_until_when(cast, as_account):
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)

    page = ground_of(as_account(cast.ana_account))

    assert "Rests from the cabbage family until 2032, five seasons</td>" in page
    assert re.search(r'class="plan-rest"[^>]*>5<tspan', page)


def test_a_bed_that_carried_nothing_is_free(cast, as_account):
    page = ground_of(as_account(cast.ana_account))

    assert "Free: rests from no family on record" in page


def test_a_helper_reads_that_they_help(cast, as_account):
    assert "You help on it." in ground_of(as_account(cast.ben_account))


def test_an_account_for_two_reads_whose_plot_it_is(cast, as_account):
    eve = make_member(cast.society, "Eve Thistle", joined_on=SINCE)
    flo = make_member(cast.society, "Flo Thistle", joined_on=SINCE)
    make_tenancy(make_plot(cast.site, "12", laid_out_on=SINCE), eve, since=SINCE)

    assert "Eve Thistle holds it." in ground_of(as_account(make_account(eve, flo, since=SINCE)))


def test_who_works_no_plot_is_told_so(cast, as_account):
    assert "You work no plot at present" in ground_of(as_account(cast.dee_account))


# session, account, society, members, seat, plots (held or helped, then whole), holders, helpers, beds,
# record, society again in the frame; the site's society, its own rules (two), problems seen, what grew,
# other uses
GROUND_QUERIES = 18


def test_my_ground_costs_the_same_with_one_plot_and_with_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    make_sowing(cast.bed, season=2027, state="sown", sown_on=date(2027, 3, 10))
    with django_assert_num_queries(GROUND_QUERIES):
        ground_of(client)

    for number in range(49):
        plot = make_plot(cast.site, f"{100 + number}", laid_out_on=SINCE)
        make_tenancy(plot, cast.ana, since=SINCE)
        make_sowing(make_bed(plot, since=SINCE), "turnip", season=2026, **LIFTED)
    with django_assert_num_queries(GROUND_QUERIES):
        assert "Your 50 plots: one crop stands" in ground_of(client)


def test_a_patch_tells_how_much_of_it_carried_what(cast, as_account):
    half = rectangle((1.0, 1.0), length_m=2.5, width_m=1.2)
    make_sowing(cast.bed, "turnip", season=2026, outline=half, **LIFTED)
    now = make_sowing(cast.bed, "carrot-early", season=2027)

    page = patch_of(as_account(cast.ana_account), now)

    assert "<h1>This ground still rests from the cabbage family</h1>" in page
    assert "3.00 m²<br>(50&nbsp;%)" in page
    assert "from <strong>2032</strong>, five seasons from now" in page


def test_a_patch_keeps_the_years_of_another_plot_without_a_way_there(cast, as_account):
    old = make_sowing(cast.other_bed, "turnip", season=2026, outline=cast.bed.outline, **LIFTED)

    page = patch_of(as_account(cast.ana_account), make_sowing(cast.bed, season=2027))

    assert "then plot 8" in page
    assert reverse("sowing", args=[old.pk]) not in page


def bed_of(client, bed) -> str:
    return client.get(reverse("bed", args=[bed.plot_id, bed.pk])).content.decode()


def test_a_bed_and_a_crop_of_the_drawing_lead_to_their_years(cast, as_account):
    sowing = make_sowing(cast.bed, season=2027, state="sown", sown_on=date(2027, 3, 10))
    client = as_account(cast.ana_account)
    of_bed = reverse("bed", args=[cast.plot.pk, cast.bed.pk])
    of_patch = reverse("patch", args=[cast.plot.pk, sowing.patch_id])

    for page in (ground_of(client), client.get(reverse("plot", args=[cast.plot.pk])).content.decode()):
        assert f'<a href="{of_bed}" aria-label="bed 1: its years" class="plan-way">' in page
        assert f'<a href="{of_patch}" aria-label="Carrot, early: the years of its ground"' in page
        assert 'role="group"' in page
        assert client.get(of_bed).status_code == client.get(of_patch).status_code == 200


def test_a_bed_tells_its_years_whatever_it_was_called(cast, as_account):
    make_sowing(cast.other_bed, "turnip", season=2026, outline=cast.bed.outline, **LIFTED)

    page = bed_of(as_account(cast.ana_account), cast.bed)

    assert "<h1>This ground still rests from the cabbage family</h1>" in page
    assert "then plot 8" in page
    assert f"?bed={cast.bed.pk}" in page


def test_a_coarse_record_is_drawn_as_coarse(cast, as_account):
    patch = make_sowing(cast.bed, "turnip", season=2026, **LIFTED).patch
    patch.is_coarse = True
    patch.save()
    client = as_account(cast.ana_account)

    for page in (ground_of(client), client.get(reverse("plot", args=[cast.plot.pk])).content.decode()):
        assert re.search(r'class="plan-rest"[^>]*>5\?<tspan', page)
        assert "still rest" in page


def test_a_bed_without_years_says_so(cast, as_account):
    assert "Nothing is on record here." in bed_of(as_account(cast.ana_account), cast.bed)


def test_each_drawing_of_several_plots_has_names_of_its_own(cast, as_account):
    for number in range(2):
        plot = make_plot(cast.site, f"{100 + number}", laid_out_on=SINCE)
        make_tenancy(plot, cast.ana, since=SINCE)
        make_sowing(make_bed(plot, since=SINCE), season=2027, state="sown", sown_on=date(2027, 3, 10))

    page = ground_of(as_account(cast.ana_account))

    names = re.findall(r' id="([^"]+)"', page)
    assert len(names) == len(set(names))
    assert set(re.findall(r"url\(#([^)]+)\)", page)) <= set(names)


def test_the_ground_is_drawn_where_it_lies(cast, as_account):
    page = patch_of(as_account(cast.ana_account), make_sowing(cast.bed, season=2027))

    assert 'class="plan-marked"' in page


def test_a_patch_of_another_plot_is_not_found_under_ones_own(cast, as_account):
    theirs = make_sowing(cast.other_bed, season=2027)
    url = reverse("patch", args=[cast.plot.pk, theirs.patch_id])

    assert as_account(cast.ana_account).get(url).status_code == 404


# session, account, society, members, seat, patch, workers, years, beds, society again; the society's own
# rules (two), problems seen, what grew, other uses; all three in words
PATCH_QUERIES = 18


def test_a_patch_costs_the_same_with_one_year_and_with_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    sowing = make_sowing(cast.bed, season=TODAY.year, state="sown", sown_on=date(2027, 3, 10))
    with django_assert_num_queries(PATCH_QUERIES):
        patch_of(client, sowing)

    for _ in range(49):
        make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    with django_assert_num_queries(PATCH_QUERIES):
        patch_of(client, sowing)


def test_a_patch_that_is_warned_of_names_what_would_fit(cast, as_account):
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    sowing = make_sowing(cast.bed, "radish", season=2027)
    client = as_account(cast.ana_account)
    assert "What else would fit" not in patch_of(client, sowing)

    ground_check(site=cast.site, now=instant(TODAY))
    page = patch_of(client, sowing)
    assert "Not rested for radish in 2027." in page
    assert "What else would fit there in 2027" in page
    assert "<li>Onion family (Al): " in page
    assert "<li>Cabbage family" not in page


def test_a_bed_costs_the_same_with_one_year_and_with_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    make_sowing(cast.bed, season=TODAY.year)
    with CaptureQueriesContext(connection) as once:
        bed_of(client, cast.bed)

    for _ in range(49):
        make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    with django_assert_num_queries(len(once)):
        bed_of(client, cast.bed)


def test_ground_that_only_may_rest_says_so(cast, as_account):
    make_sighting(cast.bed, "clubroot", on=date(2026, 8, 1))
    client = as_account(cast.ana_account)
    words = "May still rest from the cabbage family until 2034, seven seasons, as clubroot may have been seen"
    assert words in ground_of(client)

    sowing = make_sowing(cast.bed, "carrot-early", season=2027)
    assert "<h1>This ground may still rest from the cabbage family</h1>" in patch_of(client, sowing)
    assert "clubroot may have been seen here" in patch_of(client, sowing)


def test_a_problem_of_several_families_is_one_line(cast, as_account):
    """Sclerotinia: a 2-year rotation, or 3-year, to cereals or maize (UC IPM), so two seasons between."""
    make_sighting(cast.bed, "sclerotinia", on=date(2026, 8, 1), is_sure=True)
    page = patch_of(as_account(cast.ana_account), make_sowing(cast.bed, "leek", season=2027))
    assert "This ground still rests from the hosts of sclerotinia rot (the carrot family, the lettuce" in page
    assert "from <strong>2029</strong>, two seasons from now; sclerotinia rot was seen here" in page


def test_what_was_entered_of_a_patch_is_withdrawn_from_its_page(cast, as_account):
    event = make_ground_event(cast.bed, "lime", on=TODAY)
    page = patch_of(as_account(cast.ana_account), make_sowing(cast.bed, season=2027))
    assert reverse("ground-event-withdraw", args=[event.pk]) in page


def test_the_page_of_a_bed_offers_the_bed_and_names_what_would_fit(cast, as_account):
    make_sowing(cast.bed, "turnip", season=2026, **LIFTED)
    make_sowing(cast.bed, "radish", season=2027)
    ground_check(site=cast.site, now=instant(TODAY))
    page = as_account(cast.ana_account).get(reverse("bed", args=[cast.plot.pk, cast.bed.pk])).content.decode()
    assert f"{reverse('sighting-add', args=[cast.plot.pk])}?bed={cast.bed.pk}" in page
    assert "Not rested for radish in 2027." in page
    assert "<li>Onion family (Al): " in page
