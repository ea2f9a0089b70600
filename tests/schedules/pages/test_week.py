"""This week: what a grower reads, and in which order."""

from datetime import date, timedelta

from django.urls import reverse

from schedules.models import Job
from society.models import AccountMember
from tests.factories import (
    make_account,
    make_bed,
    make_job,
    make_member,
    make_notice,
    make_plot,
    make_site,
    make_sowing,
    make_tenancy,
)
from tests.schedules.pages.conftest import SINCE, TODAY


def week_of(client) -> str:
    return client.get(reverse("this-week")).content.decode()


def weeding(cast, **fields) -> Job:
    sowing = make_sowing(cast.bed, "radish", season=2027, state="sown", sown_on=date(2027, 3, 10))
    return make_job(sowing, "weed", **{"start_on": TODAY, "source": "a handbook, page 9", **fields})


def test_a_window_of_one_day_is_said_as_one_day(cast, as_account):
    weeding(cast, best_on=TODAY, by_on=TODAY)

    page = week_of(as_account(cast.ana_account))

    assert f"<p>On {TODAY.day} {TODAY:%B}.</p>" in page
    assert "best on" not in page


def test_a_grower_reads_what_to_do_where_and_by_when(cast, as_account):
    weeding(cast)

    page = week_of(as_account(cast.ana_account))

    assert "Weed radish" in page
    assert "bed 1" in page
    assert "By Thursday" in page


def test_a_helper_reads_the_same_week(cast, as_account):
    weeding(cast)

    assert "Weed radish" in week_of(as_account(cast.ben_account))


def test_nobody_reads_of_a_plot_that_is_not_theirs(cast, as_account):
    weeding(cast)

    page = week_of(as_account(cast.col_account))

    assert "Weed radish" not in page
    assert "Nothing falls due this week" in page


def test_the_source_stands_under_why(cast, as_account):
    weeding(cast)

    assert "Source: a handbook, page 9" in week_of(as_account(cast.ana_account))


def test_late_is_a_word(cast, as_account):
    weeding(cast, start_on=TODAY - timedelta(days=7))

    assert "Late by 4 days" in week_of(as_account(cast.ana_account))


def test_an_empty_week_names_what_comes_next(cast, as_account):
    weeding(cast, start_on=date(2027, 5, 3))

    page = week_of(as_account(cast.ana_account))

    assert "Nothing falls due this week" in page
    assert "from Monday 3 May" in page


def test_a_job_of_the_seventh_day_is_in_the_week_and_one_of_the_eighth_is_not(cast, as_account):
    weeding(cast, start_on=TODAY + timedelta(days=6))
    assert "One job asks for you this week" in week_of(as_account(cast.ana_account))

    Job.objects.update(start_on=TODAY + timedelta(days=7), best_on=TODAY + timedelta(days=8))
    assert "Nothing falls due this week" in week_of(as_account(cast.ana_account))


def test_the_committee_without_a_plot_is_shown_the_letters_and_the_plots(cast, as_account):
    page = week_of(as_account(cast.dee_account))

    assert "You work no plot at present" in page
    assert reverse("letters") in page
    assert reverse("plot", args=[cast.other_plot.pk]) in page


def test_somebody_who_waits_is_told_why_the_page_is_empty(cast, as_account):
    account = make_account(make_member(cast.society, "Wim Waits", joined_on=SINCE), since=SINCE)

    page = week_of(as_account(account))

    assert "Jobs appear here once a plot is yours" in page
    assert reverse("plot", args=[cast.plot.pk]) not in page


def test_an_account_for_two_members_reads_a_shared_job_once(cast, as_account):
    AccountMember.objects.create(account=cast.ana_account, member=cast.ben, since=SINCE)
    weeding(cast)

    page = week_of(as_account(cast.ana_account))

    assert page.count('<form class="record"') == 1
    assert "For Ben Hurdle" in page
    assert "One shared job already stands above" in page


def test_what_is_typed_is_never_taken_for_markup(cast, as_account):
    cast.bed.name = "<script>bad()</script>"
    cast.bed.save()
    weeding(cast)

    assert "<script>" not in week_of(as_account(cast.ana_account))


# session, account, society, members, seat, plots held/helped, plots, jobs, notices, society in the frame
WEEK_QUERIES = 10


def test_the_week_costs_the_same_with_one_job_and_with_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    weeding(cast)
    with django_assert_num_queries(WEEK_QUERIES):
        week_of(client)

    for number in range(49):
        plot = make_plot(cast.site, f"A{number}", laid_out_on=SINCE)
        make_tenancy(plot, cast.ana, since=SINCE)
        sowing = make_sowing(make_bed(plot, since=SINCE), season=2027)
        make_job(sowing, "weed", start_on=TODAY)
    with django_assert_num_queries(WEEK_QUERIES):
        assert week_of(client).count('<form class="record"') == 50


def test_members_read_the_notices_of_their_site(cast, as_account):
    make_notice(cast.site, "The water is on from Saturday.", since=TODAY, until=TODAY, is_public=False)
    elsewhere = make_site(cast.society, name="Far Field")
    make_notice(elsewhere, "Bring your own spade.", since=TODAY, until=TODAY)

    page = week_of(as_account(cast.ana_account))

    assert "The water is on from Saturday." in page
    assert "spade" not in page


def test_a_notice_that_came_down_is_not_read_any_more(cast, as_account):
    make_notice(cast.site, "Old news.", since=SINCE, until=date(2027, 4, 11))

    assert "Old news." not in week_of(as_account(cast.ana_account))


def test_who_acts_for_no_member_reads_no_notice(cast, as_account):
    make_notice(cast.site, "Members, please stay.", since=TODAY, until=TODAY, is_public=False)
    cast.ana.left_on = TODAY
    cast.ana.save()

    assert "please stay" not in week_of(as_account(cast.ana_account))
