"""The laid-out rain beside four daily records.

Brussels 1976-2005, Cambridge 1991-2021, Wageningen 1976-1999 and Seattle 2012-2015, as
``tests/outside/records.py`` describes them. Each record's own monthly totals are laid out again, and the
share of days with 1 mm and more and the longest dry spell of a year are compared. Measured, record and
pattern: wet share 0.37 and 0.33, 0.39 and 0.27, 0.34 and 0.29, 0.35 and 0.40; mean longest spell 20 and 14,
22 and 16, 27 and 16, 49 and 24 days. The spells of the pattern are a quarter to a half too short: every
member has the usual total in each month, and a real drought is a month without it.
"""

import numpy as np
import pytest

from schedules.agronomy.climate import ensemble
from tests.outside.records import BRUSSELS, CAMBRIDGE, county, seattle, wageningen

RECORDS = {
    "brussels": lambda: county(BRUSSELS),
    "cambridge": lambda: county(CAMBRIDGE),
    "wageningen": wageningen,
    "seattle": seattle,
}


def dry_spells(rain_mm):
    """The longest run of days under 1 mm in each stretch of 365 days."""
    marks = "".join("w" if wet else "d" for wet in rain_mm >= 1.0)
    return [max(map(len, marks[at : at + 365].split("w"))) for at in range(0, len(marks) - 364, 365)]


@pytest.mark.parametrize("name", RECORDS)
def test_wet_days_and_dry_spells_come_near_the_record(name):
    record = RECORDS[name]()
    known = np.nan_to_num(record.rain_mm)
    # Nothing lies before this today, so that no day is taken as observed and no year is repeated.
    window = ensemble(
        observed=record, normals=None, today=record.first, first=record.first, days=record.rain_mm.size
    )
    share, laid_share = (known >= 1.0).mean(), (window.rain_mm >= 1.0).mean()
    spell = np.mean(dry_spells(known))
    laid_spell = np.mean([np.mean(dry_spells(member)) for member in window.rain_mm])
    assert laid_share == pytest.approx(share, rel=0.31)
    assert 0.45 * spell < laid_spell < spell
