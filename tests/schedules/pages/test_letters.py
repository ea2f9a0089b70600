"""The letters that were written, and those that go out on paper."""

from datetime import date, timedelta

from django.urls import reverse

from schedules.job_links import job_link
from schedules.letter_stopping import stop_link
from schedules.models import DeliveryStep
from society.models import Member
from tests.factories import (
    instant,
    make_bed,
    make_delivery,
    make_job,
    make_member,
    make_plot,
    make_preference,
    make_sowing,
    make_tenancy,
)
from tests.schedules.pages.conftest import SINCE, TODAY


def page_of(client, name: str, *args) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def without_mail(cast):
    eve = make_member(cast.society, "Eve Thistle", joined_on=SINCE, email="")
    make_tenancy(make_plot(cast.site, "12", laid_out_on=SINCE), eve, since=SINCE)
    return eve


def test_the_committee_reads_what_became_of_every_letter(cast, as_account):
    letter = make_delivery(cast.ana, local_date=TODAY, state="doubtful", title="Three jobs on plot 7")
    DeliveryStep.objects.create(delivery=letter, at=instant(TODAY, 7), state="doubtful")

    page = page_of(as_account(cast.dee_account), "letters")

    assert "Weekly letter to Ana Orchard" in page
    assert "perhaps sent" in page
    assert "12 Apr 08:00" in page  # seven in UTC is eight at the society in April


def test_a_grower_reads_only_their_own(cast, as_account):
    make_delivery(cast.ana, local_date=TODAY, title="For Ana alone")
    make_delivery(cast.col, local_date=TODAY, title="For Col alone")

    page = page_of(as_account(cast.col_account), "letters")

    assert "For Col alone" in page
    assert "For Ana alone" not in page


def test_links_that_act_for_the_reader_stand_on_no_page(cast, as_account):
    """The committee reads what was sent to Ana, and does not get the means to answer in her name."""
    job = make_job(make_sowing(cast.bed, season=2027), start_on=TODAY)
    links = [
        job_link(jobs=[job.pk], member=cast.ana.pk, reader=cast.ana.pk, today=TODAY),
        stop_link(kind="weekly", member=cast.ana.pk, reader=cast.ana.pk),
    ]
    text = f"1. Hoe\n   Done, put off or not needed:\n   {links[0]}\n\nhttp://127.0.0.1:8000/\nStop:\n{links[1]}\nEnd"
    letter = make_delivery(cast.ana, local_date=TODAY, title="One job", text=text, state="sent")
    for account in (cast.dee_account, cast.ana_account):
        page = page_of(as_account(account), "letter", letter.key)
        assert page.count("(a link for the reader alone)") == 2
        assert [link for link in links if link.rpartition("/")[0].rpartition("/")[2] in page] == []
        assert "http://127.0.0.1:8000/\n" in page
        assert "End" in page


def test_a_letter_of_somebody_else_does_not_exist(cast, as_account):
    letter = make_delivery(cast.ana, local_date=TODAY)

    url = reverse("letter", args=[letter.key])

    assert as_account(cast.col_account).get(url).status_code == 404
    assert as_account(cast.ben_account).get(url).status_code == 404


def test_a_letter_is_shown_as_it_was_sent_and_as_text(cast, as_account):
    letter = make_delivery(
        cast.ana, local_date=TODAY, title="Jobs", text="Dear Ana,\n\nthin <b>now</b>", html="<p>no</p>"
    )

    page = page_of(as_account(cast.ana_account), "letter", letter.key)

    assert "thin &lt;b&gt;now&lt;/b&gt;" in page
    assert "<p>no</p>" not in page


def test_a_letter_not_yet_written_says_so(cast, as_account):
    letter = make_delivery(cast.ana, local_date=TODAY)

    assert "not written yet" in page_of(as_account(cast.ana_account), "letter", letter.key)


def test_forty_letters_make_a_page(cast, as_account):
    for week in range(41):
        make_delivery(cast.ana, local_date=TODAY - timedelta(weeks=week), title=f"Letter {week}.")
    client = as_account(cast.ana_account)

    first, second = (client.get(reverse("letters"), {"page": page}).content.decode() for page in ("1", "2"))

    assert first.count('class="place"') == 40
    assert "Letter 40." in second
    assert "Page 1 of 2" in first


def test_a_page_number_that_is_none_gives_the_first(cast, as_account):
    make_delivery(cast.ana, local_date=TODAY)

    answer = as_account(cast.ana_account).get(reverse("letters"), {"page": "x"})

    assert answer.status_code == 200


def test_members_without_mail_are_listed_for_paper(cast, as_account):
    eve = without_mail(cast)

    page = page_of(as_account(cast.dee_account), "letters")

    assert reverse("letter-print", args=[eve.pk]) in page
    assert reverse("letter-print", args=[cast.ana.pk]) not in page


def test_a_member_whose_address_is_refused_is_listed_for_paper_too(cast, as_account):
    Member.objects.filter(pk=cast.ana.pk).update(email_refused_at=instant(TODAY), email_refusals=2)

    page = page_of(as_account(cast.dee_account), "letters")

    assert reverse("letter-print", args=[cast.ana.pk]) in page


def test_a_grower_sees_no_list_of_others(cast, as_account):
    without_mail(cast)

    assert "Eve Thistle" not in page_of(as_account(cast.ana_account), "letters")


def test_the_paper_letter_tells_of_the_jobs(cast, as_account):
    sowing = make_sowing(cast.bed, "radish", season=2027, state="sown", sown_on=date(2027, 3, 10))
    make_job(sowing, "weed", start_on=TODAY)

    page = page_of(as_account(cast.dee_account), "letter-print", cast.ana.pk)

    assert "Dear Ana Orchard" in page
    assert "Weed radish" in page


def paper_member(cast, name: str, number: str, **preference):
    member = make_member(cast.society, name, joined_on=SINCE, email="")
    plot = make_plot(cast.site, number, laid_out_on=SINCE)
    make_tenancy(plot, member, since=SINCE)
    if preference:
        make_preference(member, **preference)
    return member, make_bed(plot, since=SINCE)


def test_all_letters_for_paper_come_in_one_run(cast, as_account):
    for name, number in (("Eve Thistle", "12"), ("Guy Spade", "13")):
        _, bed = paper_member(cast, name, number)
        make_job(make_sowing(bed, "radish", season=2027), "weed", start_on=TODAY)
    paper_member(cast, "Hope Idle", "14")
    paper_member(cast, "Ivy Idle", "15", weekly_when_empty=True)
    paper_member(cast, "Joy Silent", "16", weekly=False)

    page = page_of(as_account(cast.dee_account), "letters-print")

    assert page.count('class="paper-letter"') == 3
    assert page.count("Weed radish") == 2
    assert "Nothing is due for Hope Idle, so there is no letter to them." in page
    assert "Nothing is due on plot 15" in page
    assert "Joy Silent" not in page


def test_the_run_costs_the_same_for_one_and_for_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.dee_account)
    for number in range(50):
        _, bed = paper_member(cast, f"Member {number}", f"n{number}")
        make_job(make_sowing(bed, "radish", season=2027), "weed", start_on=TODAY)
        if number in {0, 49}:
            with django_assert_num_queries(RUN_QUERIES):
                page = page_of(client, "letters-print")
    assert page.count("Weed radish") == 50


def test_looking_at_the_paper_letter_writes_nothing_down(cast, as_account):
    page_of(as_account(cast.dee_account), "letter-print", cast.ana.pk)

    assert cast.ana.deliveries.count() == 0


def test_no_letter_is_printed_for_somebody_who_died(cast, as_account):
    cast.ana.died_on = TODAY
    cast.ana.save()

    answer = as_account(cast.dee_account).get(reverse("letter-print", args=[cast.ana.pk]))

    assert answer.status_code == 404


RUN_QUERIES = 22
# session, account, society, members, seat, count, letters, steps, paper, society again in the frame
LETTERS_QUERIES = 10


def test_letters_cost_the_same_with_one_and_with_forty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.dee_account)
    make_delivery(cast.ana, local_date=TODAY)
    with django_assert_num_queries(LETTERS_QUERIES):
        page_of(client, "letters")

    for week in range(1, 40):
        make_delivery(cast.ana, local_date=TODAY - timedelta(weeks=week))
    with django_assert_num_queries(LETTERS_QUERIES):
        page_of(client, "letters")
