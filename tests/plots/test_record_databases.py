"""Both databases take the same record in, and give the same record out."""

import pytest

from tests.bench.records import full, taken

ROWS = 400


@pytest.mark.postgresql
def test_both_databases_hold_the_same_record(tmp_path, postgresql_url):
    small = taken(ROWS, {"COMMONROW_DATA": str(tmp_path)})
    great = taken(ROWS, full(postgresql_url))

    assert small["looked"] == small["added"] == small["known again"] == ROWS + ROWS // 50
    for said in (small, great):
        assert (said["added again"], said["added from export"]) == (0, 0)
    assert great["digest"] == small["digest"]
