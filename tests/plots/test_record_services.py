"""Old records taken into the record of the ground: all or nothing, once, and nothing replaced silently."""

from datetime import UTC, date, datetime

import pytest

from plots.ground_services import ground_check
from plots.models import GroundVerdict, OtherUse, Patch, Plot, Sighting, Sowing
from plots.record_csv import read_record, write_record
from plots.record_drafts import Kind
from plots.record_selectors import record_rows
from plots.record_services import record_import
from society.models import JournalEntry
from tests import factories

pytestmark = pytest.mark.django_db

SINCE, TODAY = date(2015, 1, 1), date(2027, 4, 12)
NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
HEAD = "year,plot,bed,from,to,crop,problem,sure,note\n"


@pytest.fixture
def cast():
    """Ana's plot 7 with bed 1 and bed 2, the latter laid out in 2025 over an older bed of that name."""
    cast = factories.make_cast(since=SINCE, normals=False)
    Plot.objects.update(record_since=None)
    cast.plot.refresh_from_db()
    factories.make_bed(cast.plot, "bed 2", since=SINCE, until=date(2024, 1, 1), corner=(1.0, 4.0))
    factories.make_bed(cast.plot, "bed 2", since=date(2025, 1, 1), corner=(8.0, 4.0))
    return cast


def take(cast, text, **options):
    text = text if text.startswith(("year", "plot")) else HEAD + text
    values = {"is_complete": False, "member": cast.dee, "account": cast.dee_account, "now": NOW, **options}
    return record_import(site=cast.site, file=read_record(text.encode()), **values)


def everything():
    return [list(model.objects.order_by("pk").values()) for model in (Patch, Sowing, OtherUse, Sighting)]


def test_a_crop_with_its_days_lies_on_its_bed(cast):
    found = take(cast, "2019,7,bed 1,2019-04-09,2019-11-02,Leek,,,\n")

    sowing = Sowing.objects.get()
    assert found.is_saved
    assert found.counts == {Kind.SOWING: 1}
    assert (sowing.crop, sowing.season, sowing.last_season, sowing.state) == ("leek", 2019, 2019, "lifted")
    assert (sowing.sown_on, sowing.ended_on) == (date(2019, 4, 9), date(2019, 11, 2))
    assert (sowing.patch.bed, sowing.patch.outline, sowing.patch.is_coarse) == (
        cast.bed, cast.bed.outline, False,
    )  # fmt: skip
    assert sowing.patch.area_m2 == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("place", "area_m2", "is_coarse"),
    [
        ("bed 1", 6.0, False), ("whole of bed 1", 6.0, False), ("half of bed 1", 6.0, True),
        ("bed 1, east half", 3.0, True), ("bed 1, west third", 2.0, True), ("bed 1, left side", 6.0, True),
        ("", 160.0, True), ("whole plot", 160.0, False), ("north half", 80.0, True),
        ("about a third of the plot", 160.0, True), ("NE corner", 40.0, True),
    ],
)  # fmt: skip
def test_what_is_known_roughly_lies_roughly(cast, place, area_m2, is_coarse):
    take(cast, f'2019,7,"{place}",,,Leek,,,\n')

    patch = Patch.objects.get()
    assert (patch.area_m2, patch.is_coarse) == (pytest.approx(area_m2, rel=1e-4), is_coarse)


@pytest.mark.parametrize("number", ["plot 7", "Plot no. 7", "No. 7", "#7", "07", "7.0", "plot #7", "Nr 7"])
def test_a_plot_by_its_number_however_it_is_written(cast, number):
    take(cast, f"2019,{number},bed 1,,,Leek,,,\n")

    assert Patch.objects.get().plot == cast.plot


def test_the_east_half_is_in_the_east(cast):
    take(cast, '2019,7,"bed 1, east half",,,Leek,,,\n')

    patch = Patch.objects.get()
    assert (patch.min_x, patch.max_x) == pytest.approx((3.5, 6.0))


@pytest.mark.parametrize(
    ("measures", "box", "is_coarse"),
    [
        ("5,1.2,,", (1.0, 1.0, 6.0, 2.2), False),
        ("2,1.2,,", (1.0, 1.0, 6.0, 2.2), True),
        ("2,1.2,3,0", (4.0, 1.0, 6.0, 2.2), False),
    ],
)
def test_measures_place_it_where_they_can(cast, measures, box, is_coarse):
    take(cast, f"year,plot,bed,crop,length_m,width_m,along_m,across_m\n2019,7,bed 1,Leek,{measures}\n")

    patch = Patch.objects.get()
    assert (patch.min_x, patch.min_y, patch.max_x, patch.max_y) == pytest.approx(box)
    assert patch.is_coarse == is_coarse


@pytest.mark.parametrize(("year", "west"), [(2019, 1.0), (2026, 8.0)])
def test_the_bed_of_that_name_at_the_time(cast, year, west):
    take(cast, f"{year},7,bed 2,{year}-04-01,{year}-09-01,Leek,,,\n")

    assert Patch.objects.get().min_x == pytest.approx(west)


@pytest.mark.parametrize(
    ("begins", "times", "seasons"),
    [
        # Garlic of one winter: two seasons where they are calendar years, one where they begin in July.
        (1, "2019/20,{},,", (2019, 2020)),
        (7, "2019/20,{},,", (2019, 2019)),
        (1, "2019,{},Oct,July", (2019, 2020)),
        (1, "2019/20,{},Oct,July", (2019, 2020)),
        (7, "2019,{},Oct,March", (2019, 2019)),
        (1, "2019,{},2019-10-10,July", (2019, 2020)),
        (1, ",{},2019/20,2020/21", (2019, 2021)),
        (7, ",{},2019/20,2020/21", (2019, 2020)),
        # What is out in the autumn is not carried over the winter, and March lies in the season before July.
        (1, "2019/20,{},2019-09-10,2019-11-02", (2019, 2019)),
        (1, "2019,{},April,September", (2019, 2019)),
        (7, ",{},March 2020,", (2019, 2019)),
        (1, ",{},March 2020,", (2020, 2020)),
        (7, "2020,{},March 2020,May 2020", (2019, 2019)),
    ],
)
def test_a_winter_in_words_comes_to_the_seasons_it_stood_in(cast, begins, times, seasons):
    cast.site.season_month = begins
    cast.site.save()
    take(cast, f"{times.format('7,bed 1')},Garlic,,,\n")

    sowing = Sowing.objects.get()
    assert (sowing.season, sowing.last_season) == seasons


def test_a_bed_of_today_stands_for_the_ground_of_then(cast):
    found = take(cast, "2009,7,bed 1,,,Leek,,,\n")

    assert found.placed_later == 1
    assert Patch.objects.get().bed == cast.bed


def test_a_family_and_a_green_manure_are_kept_by_their_family(cast):
    take(cast, "2018,7,,,,some brassica,,,by the gate\n2019,7,bed 1,,2020,white mustard,,,\n")

    uses = OtherUse.objects.order_by("first_season")
    assert [
        (use.name, use.family, use.first_season, use.last_season, use.is_coarse, use.note) for use in uses
    ] == [
        ("some brassica", "Brassicaceae", 2018, 2018, True, "by the gate"),
        ("white mustard", "Brassicaceae", 2019, 2020, False, ""),
    ]


def test_a_problem_becomes_a_sighting_beside_its_crop(cast):
    take(cast, "2019,7,bed 1,2019-05-01,2019-10-20,Kale,clubroot,,stunted\n")

    sighting = Sighting.objects.get()
    assert Sowing.objects.get().crop == "kale"
    assert (sighting.problem, sighting.seen_on, sighting.season, sighting.is_sure, sighting.note) == (
        "clubroot", date(2019, 10, 20), 2019, False, "stunted",
    )  # fmt: skip


@pytest.mark.parametrize(("place", "is_sure"), [("bed 1", True), ("", False), ("half of bed 1", False)])
def test_a_sure_sighting_is_sure_only_where_it_was_is_known(cast, place, is_sure):
    take(cast, f"2019,7,{place},,,,clubroot,yes,\n")

    sighting = Sighting.objects.get()
    assert (sighting.is_sure, sighting.confirmed_by) == (is_sure, cast.dee if is_sure else None)
    assert sighting.seen_on == date(2019, 1, 1)  # no day is known: the season's first


def test_what_winters_stands_in_both_seasons(cast):
    take(cast, "2018,7,bed 1,2018-10-20,2019-07-15,Garlic,,,\n2020,7,bed 1,2019-10-20,,Garlic,,,\n")

    assert list(Sowing.objects.order_by("season").values_list("season", "last_season", "state")) == [
        (2018, 2019, "lifted"), (2019, 2020, "lifted"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "seasons"),
    [
        ("2019,7,bed 1,,,Leek,,,", (2019, 2019)),
        ("2019/20,7,bed 1,2019-10-01,2020-05-01,Leek,,,", (2019, 2019)),
        ("2020,7,bed 1,2020-03-01,2020-06-01,Leek,,,", (2019, 2019)),
        ("2020,7,bed 1,2020-03-01,,Leek,,,", (2019, 2019)),
        ("2020,7,bed 1,2020-03-01,2020-09-01,Leek,,,", (2019, 2020)),
        (",7,bed 1,2020-08-01,2020-09-01,Leek,,,", (2020, 2020)),
    ],
)
def test_where_the_growing_year_begins_in_july(cast, row, seasons):
    cast.site.season_month = 7
    cast.site.save()

    take(cast, f"{row}\n")

    assert Sowing.objects.values_list("season", "last_season").get() == seasons


def test_what_stands_still_is_in_the_ground(cast):
    found = take(cast, "2015,7,bed 1,2015-04-01,now,Asparagus,,,\n2027,7,bed 2,2027-03-20,,Parsnip,,,\n")

    assert found.standing == 2
    assert list(Sowing.objects.order_by("pk").values_list("season", "last_season", "state")) == [
        (2015, 2027, "sown"), (2027, 2027, "sown"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("2019,70,,,,Leek,,,", "plot", "Write one of: 7, 8."),
        ("2019,7,bed 9,,,Leek,,,", "bed", "Did you mean"),
        ("2028,7,bed 1,,,Leek,,,", "year", "Only past seasons and this one"),
        ("2027,7,bed 1,2027-06-01,,Leek,,,", "from", "still to come"),
        ("2026,7,bed 1,2026-06-01,2027-06-01,Leek,,,", "to", "still to come"),
        ("2027,7,bed 1,,,Leek,,,", "to", "or now with the day it was sown"),
        ("2019,7,bed 1,,now,Asparagus,,,", "to", "with the day it was sown"),
        ("2017,7,bed 1,2019-04-01,2019-10-01,Leek,,,", "year", "Correct the year"),
        ("2021,7,bed 1,2019-04-01,,Leek,,,", "year", "Correct the year"),
        ("2021,7,bed 1,2019-04-01,2020-02-01,Leek,,,", "year", "Check the year"),
        ("2019,7,bed 1,,2018,Leek,,,", "to", "Check the year"),
        ("1950,7,bed 1,,2019,Leek,,,", "to", "stood for 69 seasons"),
    ],
)
def test_what_cannot_be_is_named_and_nothing_is_saved(cast, row, column, words):
    before = everything()

    found = take(cast, f"2019,7,bed 1,,,Leek,,,\n{row}\n")

    (fault,) = found.faults
    assert (fault.line, fault.column) == (3, column)
    assert words in f"{fault.reason} {fault.remedy}"
    assert not found.is_saved
    assert everything() == before
    assert not JournalEntry.objects.exists()


def test_a_row_at_fault_is_looked_for_on_the_ground_as_well(cast):
    found = take(cast, "19,7,bed 9,,,Leek,,,\n2019,70,,,,carot,,,\n")

    assert [(fault.line, fault.column) for fault in found.faults] == [
        (2, "year"), (2, "bed"), (3, "crop"), (3, "plot"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        ("9,9,,,", "length_m", "times the ground"),
        ("3,1,3,0,", "length_m", "sticks out"),
        (",,3,0,", "length_m", "Give length and width"),
        (",,,,0 0; 90 0; 90 90", "corners", "sticks out"),
        (",,,,0 0; 5 5; 5 0; 0 5", "corners", "crosses itself"),
    ],
)
def test_measures_that_do_not_fit_are_named(cast, cells, column, words):
    head = "year,plot,bed,crop,length_m,width_m,along_m,across_m,corners\n"

    (fault,) = take(cast, f"{head}2019,7,bed 1,Leek,{cells}\n").faults

    assert fault.column == column.removesuffix("_m")
    assert words in f"{fault.reason} {fault.remedy}"


MIXED = (
    "2018,7,,,,some brassica,,,\n"
    "2019,7,bed 1,2019-04-09,2019-06-02,Radish,,,\n"
    "2019,7,bed 1,2019-06-09,2019-08-02,Radish,,,\n"
    "2019,7,bed 1,,,Kale,clubroot,yes,\n"
    "2020,8,bed 1,,,Leek,,,\n"
    '2020,8,"bed 1, east half",,,white mustard,white rot?,,\n'
    "2026,7,bed 2,2026-10-01,now,Garlic,,,\n"
)


def test_the_same_file_again_adds_nothing(cast):
    first = take(cast, MIXED)
    before = everything()

    again = take(cast, MIXED)

    assert (sum(first.counts.values()), first.twice, len(first.otherwise)) == (9, 0, 0)
    assert (again.added, again.known, again.otherwise, again.is_saved) == ((), 9, (), False)
    assert everything() == before
    assert JournalEntry.objects.count() == 1


def test_a_row_that_stands_twice_counts_once(cast):
    found = take(cast, "2019,7,bed 1,,,Leek,,,\n2019,7,bed 1,,,leeks,,,\n")

    assert (len(found.added), found.twice, Sowing.objects.count()) == (1, 1, 1)


def test_a_corrected_file_replaces_nothing_and_says_what_is_on_record(cast):
    take(cast, "2019,7,bed 1,2019-04-09,2019-11-02,Leek,,,\n2019,7,bed 1,,,,clubroot,,\n")
    before = everything()

    found = take(cast, "2019,7,bed 1,2019-04-12,2019-11-02,Leek,,,\n2019,7,bed 1,,,,clubroot,yes,\n")

    assert [each.says for each in found.otherwise] == [
        ("begun 9 April 2019 (the file says 12 April 2019)",), ("as not sure",),
    ]  # fmt: skip
    assert (found.added, everything()) == ((), before)


def test_who_knows_less_than_the_record_contradicts_nothing(cast):
    take(cast, "2019,7,bed 1,2019-04-09,2019-11-02,Leek,,,\n")

    assert take(cast, "2019,7,bed 1,,,Leek,,,\n").known == 1


def test_a_withdrawn_entry_does_not_come_back_by_itself(cast):
    take(cast, "2018,7,,,,some brassica,,,\n")
    OtherUse.objects.update(withdrawn_at=NOW)

    found = take(cast, "2018,7,,,,some brassica,,,\n")

    assert [each.says for each in found.otherwise] == [("it was entered and withdrawn",)]
    assert OtherUse.objects.count() == 1


def test_another_crop_on_record_there_then_is_told(cast):
    take(cast, "2019,7,bed 1,2019-04-01,2019-11-02,Leek,,,\n")

    found = take(
        cast,
        "2019,7,bed 1,2019-05-01,2019-08-01,Pea,,,\n2019,7,bed 1,2019-11-05,2019-12-20,Spinach,,,\n"
        "2020,7,bed 1,,,Pea,,,\n2019,7,bed 2,,,Pea,,,\n",
    )

    assert [(each.draft.line, each.row.name, each.area_m2) for each in found.overlaps] == [
        (2, "leek", pytest.approx(6.0))
    ]


def test_the_ground_is_judged_again(cast):
    factories.make_sowing(cast.bed, "carrot-early", season=2027, sow_on=TODAY)
    ground_check(site=cast.site, now=NOW)
    before = GroundVerdict.objects.get().level

    take(cast, "2026,7,bed 1,,,Parsnip,,,\n")

    assert (before, GroundVerdict.objects.get().level) == ("no record", "broken")


def test_what_is_coarse_may_warn_and_accuses_nobody(cast):
    factories.make_sowing(cast.bed, "carrot-early", season=2027, sow_on=TODAY)

    take(cast, "2026,7,,,,Parsnip,,,\n")

    assert GroundVerdict.objects.get().level == "possible"


def test_the_record_counts_as_complete_only_when_that_is_said(cast):
    rows = "2018,7,bed 1,,,Leek,,,\n2016,7,bed 1,,,Pea,,,\n2019,8,bed 1,,,Leek,,,\n"
    take(cast, rows)
    before = list(Plot.objects.order_by("number").values_list("record_since", flat=True))

    found = take(cast, rows, is_complete=True)

    assert before == [None, None]
    assert {plot.number: season for plot, season in found.since.items()} == {"7": 2016, "8": 2019}
    assert list(Plot.objects.order_by("number").values_list("record_since", "version")) == [
        (2016, 2), (2019, 2),
    ]  # fmt: skip


def test_a_record_complete_since_earlier_stays_so(cast):
    Plot.objects.update(record_since=2010)

    assert take(cast, "2018,7,bed 1,,,Leek,,,\n", is_complete=True).since == {}


def test_a_dry_run_says_the_same_and_saves_nothing(cast):
    before = everything()

    found = take(cast, MIXED, dry_run=True)

    assert (sum(found.counts.values()), found.is_saved, everything()) == (9, False, before)


def test_the_journal_gets_one_line_with_counts(cast):
    take(cast, MIXED, is_complete=True)

    entry = JournalEntry.objects.get()
    assert (entry.action, entry.subject, entry.account_id_then) == (
        "record.imported", "plots.site", cast.dee_account.pk,
    )  # fmt: skip
    assert entry.values == {
        "sowings": 5, "other_uses": 2, "sightings": 2, "plots": 2, "coarse": 3,
        "record_since": {str(cast.plot.pk): 2018, str(cast.other_plot.pk): 2020},
    }  # fmt: skip


def test_notes_beside_crops_are_said_to_be_left_out(cast):
    found = take(cast, "2019,7,bed 1,,,Leek,,,fine\n2019,7,bed 1,,,Kale,clubroot,,stunted\n")

    assert [line for line in found.remarks if "not kept" in line] == [
        "1 note beside a crop is not kept: the record has no place for them. Keep the file."
    ]


def exported(cast) -> bytes:
    return write_record(record_rows(cast.site, today=TODAY)).encode()


def test_an_export_comes_back_as_known(cast):
    take(cast, MIXED)
    odd = [[2.0, 5.0], [3.0, 5.0], [2.5, 6.25]]
    factories.make_sowing(cast.bed, "parsnip", season=2022, outline=odd, state="lifted", variety="White King")
    factories.make_sowing(cast.bed, "pea", season=2023, state="cleared", ended_on=date(2023, 5, 1))
    factories.make_sowing(cast.bed, "onion-sets", season=2027, state="sown")  # no day of sowing
    factories.make_sowing(cast.bed, "carrot-early", season=2027, state="planned")

    found = take(cast, exported(cast).decode())

    assert found.faults == ()
    assert (found.added, found.otherwise, found.known) == ((), (), 12)


def test_an_export_into_an_empty_record_is_the_same_record(cast):
    take(cast, MIXED)
    text = exported(cast)
    for model in (Sowing, Patch, OtherUse, Sighting):
        model.objects.all().delete()

    take(cast, text.decode())

    assert exported(cast) == text


def test_an_export_may_be_bounded_by_seasons(cast):
    take(cast, MIXED)

    rows = list(record_rows(cast.site, today=TODAY, since=2019, until=2019))

    assert {row.year for row in rows} == {2019}
