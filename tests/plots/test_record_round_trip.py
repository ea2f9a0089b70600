"""Whatever is taken in comes out in a form that is known already, and known means that nothing is added."""

from datetime import UTC, date, datetime

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plots.crops import crops
from plots.record_csv import Moment, RecordRow, What, Where, read_record, write_record
from plots.record_selectors import record_rows
from plots.record_services import record_import
from plots.rotation import problems
from tests import factories

SINCE, TODAY = date(2012, 1, 1), date(2027, 4, 12)
NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)

whats = st.sampled_from(crops()).map(lambda crop: What(crop.name, crop.family, crop.key)) | st.sampled_from(
    [What("some brassica", "Brassicaceae"), What("cosmos", "Asteraceae"), What("fallow", "Rosaceae")]
)
places = st.sampled_from(
    [
        Where("7"), Where("7", "whole plot"), Where("7", "bed 1"), Where("7", "bed 1", "north half"),
        Where("7", "south third"), Where("8", "bed 1", "roughly"), Where("8", "bed 2"),
        Where("8", "", "left"),
        Where("7", "bed 1", "", ((1.0, 1.0), (3.25, 1.0), (2.0, 2.0))),
        Where("7", "bed 1", "", (), 2.0, 0.5, 1.0, 0.25),
        Where("8", "", "roughly", ((1, 10), (2, 10), (2, 11))),
    ]
)  # fmt: skip


@st.composite
def a_row(draw: st.DrawFn) -> RecordRow:
    year = draw(st.integers(2010, 2025))
    begun = draw(st.none() | st.dates(date(year, 1, 1), date(year, 12, 31)))
    last = date(year + draw(st.integers(0, 1)), 12, 31)
    ended = draw(st.none() | st.dates(begun or date(year, 1, 1), min(last, TODAY)))
    what = draw(st.none() | whats)
    trouble = st.sampled_from(sorted(problems()))
    problem = draw(trouble if what is None else st.just("") | trouble)
    return RecordRow(
        0, year, draw(places), begun and Moment(day=begun), ended and Moment(day=ended), what,
        variety=draw(st.sampled_from(["", "Long Winter"])), failed=draw(st.booleans()), problem=problem,
        is_sure=bool(problem) and draw(st.booleans()),
        note=draw(st.sampled_from(["", "=1+1", "by the gate"])),
    )  # fmt: skip


def taken(cast, text):
    return record_import(site=cast.site, file=read_record(text.encode()), member=None, account=None, now=NOW)


@pytest.fixture(params=[1, 7], ids=["from January", "from July"])
def cast(db, request):
    cast = factories.make_cast(since=SINCE, normals=False, season_month=request.param)
    factories.make_bed(cast.other_plot, "bed 2", since=SINCE, until=date(2020, 1, 1), corner=(1.0, 13.0))
    factories.make_bed(cast.other_plot, "bed 2", since=date(2020, 1, 1), corner=(8.0, 13.0))
    return cast


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(a_row(), min_size=1, max_size=6))
def test_what_comes_out_is_known_when_it_comes_in_again(cast, rows):
    with transaction.atomic():
        first = taken(cast, write_record(rows))
        written = write_record(record_rows(cast.site, today=TODAY))
        again, same_file = taken(cast, written), taken(cast, write_record(rows))
        transaction.set_rollback(True)

    assert first.faults == again.faults == ()
    assert first.is_saved
    assert (again.added, again.otherwise, again.known + again.twice) == ((), (), len(first.added))
    assert (same_file.added, same_file.otherwise) == ((), ())
