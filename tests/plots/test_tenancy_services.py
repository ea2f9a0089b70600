"""Plots are let, shared and given back; letters stop when they must."""

from datetime import date, timedelta
from typing import Any

import pytest

from plots.models import CoWorker, Sowing, Tenancy, WaitingEntry
from plots.selectors import plots_worked_by
from plots.tenancy_ending import Ending, tenancy_end
from plots.tenancy_services import co_worker_add, co_worker_end, rent_note, tenancy_begin
from society.models import JournalEntry
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 5, 10)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def held(cast: make.Cast) -> Tenancy:
    return Tenancy.objects.get(plot=cast.plot, until__isnull=True)


def end(cast: make.Cast, reason: str = "left", **fields: Any) -> Ending:
    return tenancy_end(
        tenancy=held(cast), on=fields.pop("on", TODAY), reason=reason, account=None, now=NOW, **fields
    )


def standing(cast: make.Cast) -> Sowing:
    return make.make_sowing(cast.bed, season=2027, state=Sowing.State.SOWN, sown_on=date(2027, 4, 1))


def test_several_members_hold_a_plot_together(cast: make.Cast) -> None:
    plot = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
    tenancy = tenancy_begin(plot=plot, members=[cast.ana, cast.dee], since=TODAY, account=None, now=NOW)
    assert set(tenancy.holders.all()) == {cast.ana, cast.dee}
    assert JournalEntry.objects.get(action="tenancy.begun").values["members"] == [cast.ana.pk, cast.dee.pk]


def test_an_occupied_plot_is_not_let(cast: make.Cast) -> None:
    said = refused(tenancy_begin, plot=cast.plot, members=[cast.dee], since=TODAY, account=None, now=NOW)
    assert "held by somebody else since 2024-01-01; end that tenancy first" in said["plot"]


def test_a_plot_is_not_let_to_who_has_left(cast: make.Cast) -> None:
    plot = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
    cast.dee.left_on = TODAY
    said = refused(tenancy_begin, plot=plot, members=[cast.dee], since=TODAY, account=None, now=NOW)
    assert "no longer a member" in said["members"]


def test_a_new_tenant_waits_no_longer(cast: make.Cast) -> None:
    plot = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
    WaitingEntry.objects.create(site=cast.site, member=cast.dee, asked_on=SINCE)
    tenancy_begin(plot=plot, members=[cast.dee], since=TODAY, account=None, now=NOW)
    assert WaitingEntry.objects.get().closed_on == TODAY


def test_who_gives_up_their_only_plot_is_written_to_no_longer(cast: make.Cast) -> None:
    ending = end(cast)
    cast.ana.refresh_from_db()
    assert (cast.ana.left_on, cast.ana.is_active) == (TODAY, False)
    assert ending.no_longer_written_to == (cast.ana.pk,)
    assert not plots_worked_by(cast.ana, on=TODAY).exists()


@pytest.mark.parametrize("kept", ["plot", "help", "seat", "waiting"])
def test_who_has_anything_left_stays_a_member(cast: make.Cast, kept: str) -> None:
    if kept == "plot":
        spare = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
        make.make_tenancy(spare, cast.ana, since=SINCE)
    elif kept == "help":
        make.make_co_worker(cast.other_plot, cast.ana, since=SINCE)
    elif kept == "seat":
        make.make_seat(cast.ana, since=SINCE)
    else:
        WaitingEntry.objects.create(site=cast.site, member=cast.ana, asked_on=SINCE)
    end(cast)
    cast.ana.refresh_from_db()
    assert cast.ana.is_active


def test_who_moves_to_another_plot_stays_a_member(cast: make.Cast) -> None:
    end(cast, "moved")
    cast.ana.refresh_from_db()
    assert cast.ana.is_active


def test_after_a_death_nothing_is_sent_whatever_else_they_did(cast: make.Cast) -> None:
    make.make_co_worker(cast.other_plot, cast.ana, since=SINCE)
    make.make_seat(cast.ana, since=SINCE)
    ending = end(cast, "death", died_on=date(2027, 5, 2))
    cast.ana.refresh_from_db()
    assert (cast.ana.died_on, cast.ana.is_active) == (date(2027, 5, 2), False)
    assert ending.still_working == ()
    assert "sorry for your loss" in ending.words.to_people


def test_other_plots_of_who_died_are_named_for_the_committee(cast: make.Cast) -> None:
    spare = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
    make.make_tenancy(spare, cast.ana, since=SINCE)
    assert end(cast, "death").still_working == (spare,)


def test_what_stands_is_cleared_and_plans_are_withdrawn(cast: make.Cast) -> None:
    stands = standing(cast)
    make.make_sowing(cast.bed, "turnip", season=2028)
    ending = end(cast)
    stands.refresh_from_db()
    assert (stands.state, stands.ended_on) == (Sowing.State.CLEARED, TODAY)
    assert (ending.cleared, ending.withdrawn, Sowing.objects.count()) == (1, 1, 1)


def test_what_stands_is_passed_on_to_a_member_who_then_works_the_plot(cast: make.Cast) -> None:
    stands = standing(cast)
    ending = end(cast, "death", passed_to=cast.col)
    stands.refresh_from_db()
    assert (stands.state, stands.planned_by, ending.passed_on) == (Sowing.State.SOWN, cast.col, 1)
    assert cast.plot in plots_worked_by(cast.col, on=TODAY)


def test_help_on_a_plot_ends_with_its_tenancy(cast: make.Cast) -> None:
    end(cast)
    assert CoWorker.objects.get(member=cast.ben).until == TODAY


def test_joint_tenants_who_stay_hold_on_with_what_is_in_the_ground(cast: make.Cast) -> None:
    held(cast).held_by.create(member=cast.dee)
    stands = standing(cast)
    ending = end(cast, "death", leaving=[cast.ana])
    stands.refresh_from_db()
    assert ending.continued is not None
    assert list(ending.continued.holders.all()) == [cast.dee]
    assert stands.state == Sowing.State.SOWN
    assert CoWorker.objects.get(member=cast.ben).until is None


def test_of_joint_tenants_it_must_be_said_who_died(cast: make.Cast) -> None:
    held(cast).held_by.create(member=cast.dee)
    said = refused(tenancy_end, tenancy=held(cast), on=TODAY, reason="death", account=None, now=NOW)
    assert "say who died" in said["leaving"]


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"on": TODAY + timedelta(days=1)}, "on"),
        ({"on": date(2023, 12, 31)}, "on"),
        ({"reason": "bored"}, "reason"),
        ({"died_on": TODAY + timedelta(days=1)}, "died_on"),
    ],
)
def test_an_ending_that_cannot_be_is_refused(cast: make.Cast, fields: dict[str, Any], field: str) -> None:
    wish = {"on": TODAY, "reason": "death", **fields}
    assert field in refused(tenancy_end, tenancy=held(cast), account=None, now=NOW, **wish)
    assert held(cast).until is None


def test_a_tenancy_ends_once(cast: make.Cast) -> None:
    tenancy = held(cast)
    end(cast)
    assert (
        "already"
        in refused(tenancy_end, tenancy=tenancy, on=TODAY, reason="left", account=None, now=NOW)["on"]
    )


def test_rent_is_noted_on_the_day_it_was_paid(cast: make.Cast) -> None:
    tenancy = rent_note(tenancy=held(cast), paid_on=date(2027, 4, 1), version=1, account=None, now=NOW)
    assert (tenancy.rent_paid_on, tenancy.version) == (date(2027, 4, 1), 2)


def test_rent_is_not_noted_before_it_is_paid(cast: make.Cast) -> None:
    late = TODAY + timedelta(days=1)
    assert "paid_on" in refused(rent_note, tenancy=held(cast), paid_on=late, account=None, now=NOW)


def test_a_helper_gets_the_plot_from_the_day_named(cast: make.Cast) -> None:
    helper = co_worker_add(plot=cast.plot, member=cast.dee, since=TODAY, account=None, now=NOW)
    assert cast.plot in plots_worked_by(cast.dee, on=TODAY)
    co_worker_end(co_worker=helper, on=TODAY, account=None, now=NOW)
    assert not plots_worked_by(cast.dee, on=TODAY).exists()


@pytest.mark.parametrize(("who", "words"), [("ana", "holds plot 7"), ("ben", "helps on plot 7 already")])
def test_who_works_a_plot_is_not_added_to_it(cast: make.Cast, who: str, words: str) -> None:
    said = refused(
        co_worker_add, plot=cast.plot, member=getattr(cast, who), since=TODAY, account=None, now=NOW
    )
    assert words in said["member"]


def test_no_names_stand_in_the_journal(cast: make.Cast) -> None:
    end(cast, "death", passed_to=cast.col)
    journal = str(list(JournalEntry.objects.values_list("values", flat=True)))
    assert not any(word in journal for word in ("Ana", "Orchard", "Col", "Furrow"))
