"""Ground that has not rested: the table, the plan, and overruling a warning."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.ground_services import ground_check
from plots.models import GroundVerdict
from plots.outlines import rectangle
from schedules.site_drawing import PlotShape, WarnedShape, site_drawing
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, said

REASON = "Fresh topsoil went on in March."


def judged(cast) -> GroundVerdict:
    """Carrots planned where carrots stood last year."""
    before = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}
    factories.make_sowing(cast.bed, season=2026, **before)
    factories.make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)
    return GroundVerdict.objects.get(sowing__season=2027)


def test_rested_ground_says_so(look):
    assert "has rested, or has no record" in look("committee-ground")


def test_a_warning_stands_in_the_table_with_area_reason_and_source(cast, look):
    verdict = judged(cast)

    page = look("committee-ground")

    assert "One sowing on Alder Lane stands on ground that has not rested" in page
    assert "Under the least rest</span>: 6.0 m² of it, 100 %" in page
    assert "carried the carrot family (Carrot, early in 2026)" in page
    assert verdict.source.split(";")[0] in page


def test_the_plan_carries_the_number_and_the_hatch_of_the_line(cast, look):
    judged(cast)

    page = look("committee-ground")

    assert "<title>1: Carrot, early, plot 7, bed 1</title>" in page
    assert 'fill="url(#hatch-ap)"' in page
    assert page.count('class="plan-plot plan-holding"') == 2


@pytest.mark.parametrize("count", [1, 50])
def test_the_page_costs_the_same_for_one_and_for_fifty(cast, look, count):
    for number in range(count):
        plot = factories.make_plot(cast.site, f"A{number}", laid_out_on=SINCE, corner=(40, 9 * number))
        bed = factories.make_bed(plot, since=SINCE, corner=(41, 9 * number + 1))
        factories.make_verdict(
            factories.make_sowing(bed, season=2027), level="broken", judged_at=NOW,
            rule="rotation-no-rule", values={"crop": "Carrot", "family": "Apiaceae"},
            overruled_by=cast.dee, overruled_at=NOW, overruled_because=REASON,
        )  # fmt: skip

    with CaptureQueriesContext(connection) as queries:
        page = look("committee-ground")

    # session, account, society, members, seat; sites, count, warnings, those that stand, plots of the plan;
    # the society in the frame
    assert len(queries) == 11
    assert page.count("Take it back") == min(count, 40)


def test_a_warning_is_overruled_with_a_reason_and_both_are_read(cast, send):
    verdict = judged(cast)

    answer = send("committee-overrule", verdict.pk, reason=REASON, level="broken")

    page = answer.content.decode()
    assert "Every warning at Alder Lane has been overruled" in page
    assert f"Overruled on 12 April 2027 by Dee Sexton: {REASON}" in page
    assert "Under the least rest" in page
    assert "plan-allowed" in page


@pytest.mark.parametrize("reason", ["", "too short"])
def test_without_a_reason_nothing_is_overruled(cast, send, reason):
    verdict = judged(cast)

    answer = send("committee-overrule", verdict.pk, reason=reason, level="broken")

    assert answer.status_code == 422
    assert "in 10 letters or more" in answer.context["form"].errors["reason"][0]
    verdict.refresh_from_db()
    assert verdict.overruled_at is None


def test_a_page_that_showed_another_level_decides_nothing(cast, send):
    verdict = judged(cast)

    answer = send("committee-overrule", verdict.pk, reason=REASON, level="short")

    assert answer.status_code == 409
    assert "Nothing was overwritten" in answer.content.decode()
    assert REASON in answer.content.decode()


def test_an_overruling_is_taken_back(cast, send):
    verdict = judged(cast)
    send("committee-overrule", verdict.pk, reason=REASON, level="broken")

    answer = send("committee-overrule-end", verdict.pk)

    assert said(answer) == ["Taken back: the warning counts again."]
    assert "One sowing on Alder Lane stands" in answer.content.decode()


def test_a_second_taking_back_says_why_not(cast, send):
    assert "nobody overruled" in said(send("committee-overrule-end", judged(cast).pk))[0].lower()


def test_a_lapsed_overruling_is_still_read_and_counts_no_more(cast, look):
    verdict = judged(cast)
    GroundVerdict.objects.filter(pk=verdict.pk).update(
        overruled_at=NOW, overruled_because=REASON, overruled_level="short", overruling_lapsed=True
    )

    page = look("committee-ground")

    assert "Was overruled when it was short of the rest advised; it counts again" in page
    assert "One sowing on Alder Lane stands" in page


def test_numbers_of_neighbouring_patches_do_not_lie_on_each_other():
    plot = PlotShape("1", rectangle((0, 0), length_m=60, width_m=60))
    warned = [
        WarnedShape(number + 1, "w", "Apiaceae", rectangle((20 + number, 30), length_m=1, width_m=1))
        for number in range(4)
    ]

    drawing = site_drawing(title="t", words="w", plots=[plot], warned=warned)

    places = [part.split("font-size")[0] for part in drawing.split('class="plan-figure plan-warns"')[1:]]
    assert len(set(places)) == 4


def test_a_name_cannot_break_out_of_the_drawing():
    plot = PlotShape("1", rectangle((0, 0), length_m=20, width_m=20))
    warned = [WarnedShape(1, "<script>", "Apiaceae", rectangle((1, 1), length_m=5, width_m=5))]

    drawing = site_drawing(title="t", words="w", plots=[plot], warned=warned)

    assert "<script>" not in drawing
    assert "&lt;script&gt;" in drawing
