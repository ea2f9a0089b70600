"""Letting plots, ending tenancies, rent and helpers, as the committee does it."""

from datetime import date
from decimal import Decimal

import pytest

from plots.models import CoWorker, Sowing, Tenancy
from tests import factories
from tests.schedules.committee.conftest import SINCE, TODAY, said


@pytest.fixture
def vacant(cast):
    return factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))


def faults(answer, field):
    assert answer.status_code == 422
    return " ".join(answer.context["form"].errors[field])


def test_a_plot_is_let_to_two_together(cast, vacant, send):
    answer = send(
        "committee-tenancy-add", vacant.pk, tenant=cast.ana.pk, tenant_2=cast.ben.pk, since=TODAY,
        rent_due="45.50",
    )  # fmt: skip

    tenancy = Tenancy.objects.get(plot=vacant)
    assert said(answer) == ["Plot 9 is let."]
    assert (set(tenancy.holders.all()), tenancy.rent_due) == ({cast.ana, cast.ben}, Decimal("45.50"))


def test_a_plot_that_is_held_cannot_be_let(cast, send):
    answer = send("committee-tenancy-add", cast.plot.pk, tenant=cast.col.pk, since=TODAY)

    assert "Plot 7 is held by somebody else" in faults(answer, "since")


def test_one_tenant_named_twice_is_refused(cast, vacant, send):
    answer = send("committee-tenancy-add", vacant.pk, tenant=cast.ana.pk, tenant_2=cast.ana.pk, since=TODAY)

    assert "name each tenant once" in faults(answer, "tenant")


def test_a_tenancy_ends_and_what_stands_is_passed_on(cast, send):
    factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)

    answer = send(
        "committee-tenancy-end", cast.plot.tenancies.get().pk,
        reason="left", on=TODAY, passed_to=cast.ben.pk, version=1,
    )  # fmt: skip

    page = answer.content.decode()
    assert "The plot was given up" in page
    assert "One sowing passed on to Ben Hurdle" in page
    assert Sowing.objects.get().planned_by == cast.ben


def test_a_tenancy_ends_and_what_stands_is_cleared(cast, send):
    factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)

    answer = send("committee-tenancy-end", cast.plot.tenancies.get().pk, reason="notice", on=TODAY, version=1)

    assert "One sowing cleared, no plans withdrawn" in answer.content.decode()
    assert Sowing.objects.get().state == "cleared"


def test_after_a_death_the_words_are_gentle_and_nothing_is_sent(cast, send):
    answer = send("committee-tenancy-end", cast.plot.tenancies.get().pk, reason="death", on=TODAY, version=1)

    page = answer.content.decode()
    assert "There is no hurry about the rest" in page
    assert "We are sorry for your loss." in page
    cast.ana.refresh_from_db()
    assert cast.ana.died_on == TODAY


def test_of_two_tenants_one_may_stay(cast, vacant, send):
    tenancy = factories.make_tenancy(vacant, cast.ana, cast.ben, since=SINCE)

    answer = send(
        "committee-tenancy-end", tenancy.pk, reason="left", on=TODAY, leaving=[cast.ana.pk], version=1
    )

    assert "hold plot 9 on" in answer.content.decode()
    assert list(Tenancy.objects.get(plot=vacant, until=None).holders.all()) == [cast.ben]


def test_a_tenancy_that_changed_meanwhile_is_not_ended(cast, send):
    tenancy = cast.plot.tenancies.get()
    send("committee-rent", tenancy.pk, paid_on=TODAY, version=1)

    answer = send("committee-tenancy-end", tenancy.pk, reason="left", on=TODAY, version=1)

    assert answer.status_code == 409
    assert Tenancy.objects.get(pk=tenancy.pk).until is None


def test_rent_is_noted_and_the_note_taken_back(cast, send):
    tenancy = cast.plot.tenancies.get()
    send("committee-rent", tenancy.pk, paid_on=TODAY, version=1)
    assert Tenancy.objects.get(pk=tenancy.pk).rent_paid_on == TODAY

    send("committee-rent", tenancy.pk, paid_on="", version=2)

    assert Tenancy.objects.get(pk=tenancy.pk).rent_paid_on is None


def test_rent_to_come_is_refused(cast, send):
    answer = send("committee-rent", cast.plot.tenancies.get().pk, paid_on=date(2028, 1, 1), version=1)

    assert "is still to come" in faults(answer, "paid_on")


def test_a_helper_is_noted_and_ended(cast, send):
    send("committee-helper-add", cast.plot.pk, member=cast.col.pk, since=TODAY)
    helper = CoWorker.objects.get(member=cast.col)

    send("committee-helper-end", helper.pk, on=TODAY)

    helper.refresh_from_db()
    assert helper.until == TODAY


def test_who_holds_the_plot_needs_no_help_noted(cast, send):
    answer = send("committee-helper-add", cast.plot.pk, member=cast.ana.pk, since=TODAY)

    assert "holds plot 7" in faults(answer, "member")


def test_a_help_cannot_end_before_it_began(cast, send):
    helper = CoWorker.objects.get()

    answer = send("committee-helper-end", helper.pk, on=date(2019, 1, 1))

    assert "Give a day from 2020-01-01" in faults(answer, "on")
