"""The page of one plot: the drawing and the same in words."""

from datetime import date

import pytest
from django.urls import reverse

from plots.models import OtherUse, Sighting, SocietyRest
from plots.outlines import rectangle
from tests.factories import instant, make_bed, make_other_use, make_sighting, make_sowing, make_verdict
from tests.schedules.pages.conftest import SINCE, TODAY


def page_of(client, plot, season: str = "") -> str:
    query = f"?season={season}" if season else ""
    return client.get(reverse("plot", args=[plot.pk]) + query).content.decode()


def lifted(bed, crop: str, season: int, **fields):
    return make_sowing(
        bed,
        crop,
        season=season,
        state="lifted",
        sown_on=date(season, 4, 1),
        ended_on=date(season, 9, 1),
        **fields,
    )


def test_a_crop_stands_in_the_drawing_and_in_the_table(cast, as_account):
    make_sowing(cast.bed, "carrot-early", season=2027)

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert 'fill="url(#hatch-ap)"' in page
    assert "<strong>Carrot, early</strong></a> (Ap)" in page


def test_a_bed_that_rests_tells_from_what_and_how_long(cast, as_account):
    lifted(cast.bed, "turnip", 2026)

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert "Bed 1 still rests from the cabbage family (Br) five seasons, until 2032." in page
    assert '<text class="plan-rest"' in page


def test_a_verdict_is_a_word_with_its_reason_and_source(cast, as_account):
    sowing = make_sowing(cast.bed, "carrot-early", season=2027)
    make_verdict(
        sowing,
        level="sound",
        judged_at=instant(TODAY),
        rule="rotation-no-rule",
        values={"crop": "Carrot, early", "family": "Apiaceae"},
        source="a table, page 3",
    )

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert "Rested" in page
    assert "Source: a table, page 3" in page


def test_an_overruled_verdict_says_by_what_reason(cast, as_account):
    sowing = make_sowing(cast.bed, "carrot-early", season=2027)
    make_verdict(
        sowing,
        level="broken",
        judged_at=instant(TODAY),
        rule="rotation-no-rule",
        values={"crop": "Carrot, early", "family": "Apiaceae"},
        overruled_at=instant(TODAY),
        overruled_because="new soil was brought in",
    )

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert "The committee allowed it: new soil was brought in" in page


def test_another_season_shows_what_stood_then(cast, as_account):
    lifted(cast.bed, "radish", 2024)
    make_sowing(cast.bed, "carrot-early", season=2027)

    page = page_of(as_account(cast.ana_account), cast.plot, "2024")

    assert "Radish" in page
    assert "Carrot" not in page
    assert 'href="?season=2023"' in page
    assert 'href="?season=2025"' in page


def test_what_overwinters_stands_in_both_seasons(cast, as_account):
    lifted(cast.bed, "parsnip", 2025, last_season=2026)

    client = as_account(cast.ana_account)

    assert "2025 to 2026" in page_of(client, cast.plot, "2026")
    assert "Parsnip" in page_of(client, cast.plot, "2025")


@pytest.mark.parametrize("season", ["soon", "20270", "-2027", "1066", "٢٠٢٧"])
def test_a_season_that_is_none_is_not_found(cast, as_account, season):
    url = reverse("plot", args=[cast.plot.pk])

    assert as_account(cast.ana_account).get(url, {"season": season}).status_code == 404


def test_a_plot_that_is_not_theirs_does_not_exist_for_a_grower(cast, as_account):
    url = reverse("plot", args=[cast.plot.pk])

    assert as_account(cast.col_account).get(url).status_code == 404
    assert as_account(cast.dee_account).get(url).status_code == 200


# session, account, society, members, seat, plot, holders, beds, record, society again in the frame; the
# society's own rules (two), problems seen, what grew, other uses; problems beside; plots whose land it was
PLOT_QUERIES = 17


def test_a_plot_costs_the_same_with_one_sowing_and_with_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    make_sowing(cast.bed, "carrot-early", season=2027)
    with django_assert_num_queries(PLOT_QUERIES):
        page_of(client, cast.plot)

    for number in range(49):
        outline = rectangle((1 + number * 0.1, 1), length_m=0.1, width_m=1.2)
        lifted(cast.bed, "turnip", 2021 + number % 6, outline=outline)
    with django_assert_num_queries(PLOT_QUERIES):
        assert "still rests" in page_of(client, cast.plot)


def test_a_bed_laid_out_later_is_not_on_an_older_plan(cast, as_account):
    cast.bed.since = date(2026, 3, 1)
    cast.bed.save()

    client = as_account(cast.ana_account)

    assert "No bed is drawn" in page_of(client, cast.plot, str(SINCE.year))
    assert "No bed is drawn" not in page_of(client, cast.plot, "2026")


def test_what_is_planned_this_season_counts_for_the_next(cast, as_account):
    make_sowing(cast.bed, "potato-early", season=2027)

    page = page_of(as_account(cast.ana_account), cast.plot, "2028")

    assert "Bed 1 still rests from the potato family (So) four seasons, until 2032." in page


def test_the_hatching_is_explained_in_plain_words(cast, as_account):
    make_sowing(cast.bed, "onion-sets", season=2027)

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert 'fill="url(#hatch-al)"/></svg> Al onion family</li>' in page


def test_a_crop_hides_the_rest_that_it_does_not_break(cast, as_account):
    lifted(cast.bed, "turnip", 2026)
    make_sowing(cast.bed, "carrot-early", season=2027)

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert '<text class="plan-rest"' not in page
    assert "still rests from the cabbage family (Br)" in page


def test_ground_without_a_long_record_is_not_called_rested(cast, as_account):
    make_verdict(
        make_sowing(cast.bed, "carrot-early", season=2027),
        level="no record",
        judged_at=instant(TODAY),
        rule="rotation-no-rule",
        values={"crop": "Carrot, early", "family": "Apiaceae"},
        free_from_season=2029,
    )

    page = page_of(as_account(cast.ana_account), cast.plot)

    assert "No record</span>, known to be rested from 2029" in page


def test_what_was_seen_and_what_is_no_crop_count_for_the_rest_of_a_bed(cast, as_account):
    """Clubroot: 7 years without a susceptible crop (University of Connecticut IPM); mustard is a brassica."""
    make_other_use(cast.bed, "mustard", "Brassicaceae", season=2026)
    page = page_of(as_account(cast.ana_account), cast.plot)
    assert "Bed 1 still rests from the cabbage family (Br) five seasons, until 2032." in page

    make_sighting(cast.bed, "clubroot", on=date(2026, 8, 1))
    page = page_of(as_account(cast.ana_account), cast.plot)
    words = "cabbage family (Br) seven seasons, until 2034, as clubroot may have been seen here."
    assert f"Bed 1 may still rest from the {words}" in page

    Sighting.objects.update(is_sure=True)
    page = page_of(as_account(cast.ana_account), cast.plot)
    assert "Bed 1 still rests from the cabbage family (Br) seven seasons, until 2034, as clubroot was" in page

    Sighting.objects.update(withdrawn_at=instant(TODAY), withdrawn_because="It was only drought.")
    OtherUse.objects.update(withdrawn_at=instant(TODAY))
    assert "Rests from no family on record" in page_of(as_account(cast.ana_account), cast.plot)


def test_the_rest_of_a_bed_goes_by_the_societys_own_rule(cast, as_account):
    lifted(cast.bed, "turnip", 2026)
    SocietyRest.objects.create(
        society=cast.society, family="Brassicaceae", minimum_seasons=3, recommended_seasons=8
    )
    page = page_of(as_account(cast.ana_account), cast.plot)
    assert "(Br) eight seasons, until 2035." in page


def test_ground_that_another_plot_had_before_counts_as_well(cast, as_account):
    lifted(cast.other_bed, "turnip", 2026, outline=cast.bed.outline)
    assert "cabbage family (Br) five seasons" in page_of(as_account(cast.ana_account), cast.plot)


def test_a_container_rests_from_what_grew_in_its_mix_and_not_under_it(cast, as_account):
    lifted(cast.bed, "turnip", 2026)
    tub = make_bed(cast.plot, "tub", since=SINCE, outline=cast.bed.outline, kind="container", height_m=0.5)
    lifted(tub, "carrot-early", 2026)
    page = page_of(as_account(cast.ana_account), cast.plot)
    assert "Bed 1 still rests from the cabbage family (Br) five seasons, until 2032." in page
    assert "Tub still rests from the carrot family (Ap) five seasons, until 2032." in page


def test_what_is_known_roughly_is_said_to_lie_somewhere(cast, as_account):
    sowing = lifted(cast.bed, "leek", 2026)
    sowing.patch.is_coarse = True
    sowing.patch.save()

    page = page_of(as_account(cast.ana_account), cast.plot, "2026")
    patch = as_account(cast.ana_account).get(reverse("patch", args=[cast.plot.pk, sowing.patch_id]))

    assert "somewhere on 6.00 m²" in page
    assert "perhaps 6.00 m²" in patch.content.decode()


def test_every_bed_of_the_table_leads_to_its_years(cast, as_account):
    second = make_bed(cast.plot, "bed 2", since=SINCE)
    make_sowing(cast.bed, "carrot-early", season=2027)

    page = page_of(as_account(cast.ana_account), cast.plot)

    for bed in (cast.bed, second):
        way = reverse("bed", args=[cast.plot.pk, bed.pk])
        assert f'<a href="{way}">{bed.name.capitalize()}<span class="away">: its years</span></a>' in page
