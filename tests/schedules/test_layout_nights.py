"""Layouts worked out while the growers sleep: where, when, once."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine

from plots.layout_services import Wanted, WishLine, layout_ask_save
from plots.models import LayoutAsk, LayoutProposal, Plot
from schedules import tasks
from schedules.layout_nights import plot_layout_propose, plots_due
from tests import factories

pytestmark = pytest.mark.django_db
SINCE = date(2010, 1, 1)
EVENING = datetime(2027, 1, 12, 20, tzinfo=UTC)
NIGHT = datetime(2027, 1, 13, 2, tzinfo=UTC)


@pytest.fixture
def cast():
    return factories.make_cast(since=SINCE, normals=False)


def wished(plot: Plot, crop: str = "carrot-early") -> LayoutAsk:
    lines = [WishLine(crop, {2027: 6.0})]
    return layout_ask_save(plot=plot, wanted=Wanted(2027, 1, lines), version=None, account=None, now=EVENING)


def night(plot: Plot, now: datetime = NIGHT) -> LayoutProposal | None:
    return plot_layout_propose(plot=plot.pk, now=now, seconds=10)


def test_only_plots_with_wishes_are_due_and_only_by_night(cast):
    wished(cast.plot)
    assert plots_due(now=EVENING) == []
    assert plots_due(now=NIGHT) == [cast.plot.pk]


def test_night_is_the_sites_own(cast):
    cast.site.zone = "Pacific/Auckland"
    cast.site.save()
    wished(cast.plot)
    assert plots_due(now=NIGHT) == []
    assert plots_due(now=datetime(2027, 1, 12, 13, tzinfo=UTC)) == [cast.plot.pk]  # 02:00 on the 13th there


def test_a_plot_is_worked_on_once_a_night_and_a_question_once(cast):
    wished(cast.plot)
    first = night(cast.plot)
    assert first is not None
    assert first.is_proven
    assert night(cast.plot) is None
    assert plots_due(now=NIGHT) == []
    assert night(cast.plot, NIGHT + timedelta(days=1)) is None
    assert LayoutProposal.objects.count() == 1


def test_ground_that_changed_is_answered_anew(cast):
    wished(cast.plot)
    first = night(cast.plot)
    factories.make_sowing(cast.bed, "pea", season=2027)
    second = night(cast.plot, NIGHT + timedelta(days=1))
    assert second is not None
    assert second != first


def test_an_adopted_layout_is_left_in_peace_until_the_wishes_change(cast):
    wished(cast.plot)
    LayoutProposal.objects.filter(pk=night(cast.plot).pk).update(adopted_at=NIGHT)
    later = NIGHT + timedelta(days=1)
    assert plots_due(now=later) == []
    LayoutAsk.objects.update(changed_at=NIGHT + timedelta(hours=9))
    assert plots_due(now=later) == [cast.plot.pk]


def test_what_cannot_be_answered_waits_for_the_next_night(cast):
    wished(cast.plot)
    cast.plot.beds.update(until=date(2020, 1, 1))
    assert night(cast.plot) is None
    assert plots_due(now=NIGHT) == []
    assert plots_due(now=NIGHT + timedelta(days=1)) == [cast.plot.pk]


def test_the_embedded_mode_works_the_whole_site_in_one_sweep(cast, settings):
    assert settings.CELERY_TASK_ALWAYS_EAGER
    wished(cast.plot)
    wished(cast.other_plot, "pea")
    with time_machine.travel(NOW := NIGHT, tick=False):
        tasks.layouts_refresh()
        tasks.layouts_refresh()
    assert {row.plot for row in LayoutProposal.objects.all()} == {cast.plot, cast.other_plot}
    assert LayoutProposal.objects.count() == 2
    assert set(LayoutAsk.objects.values_list("looked_at", flat=True)) == {NOW}


def test_the_tasks_go_to_the_planning_queue_by_a_plain_interval(settings):
    routes, beat = settings.CELERY_TASK_ROUTES, settings.CELERY_BEAT_SCHEDULE
    for task in (tasks.layouts_refresh, tasks.layout_propose):
        assert routes[task.name] == {"queue": "planning"}
    [entry] = [each for each in beat.values() if each["task"] == tasks.layouts_refresh.name]
    assert isinstance(entry["schedule"], timedelta)
