"""The temperature at which printed days to maturity hold, found from open records, and a published heat sum.

Days to maturity are printed for the United States; long-season roots take about a third more in cool maritime
summers (common practice, no published source). How warm such a season is, is read off open daily records.
"""

import pytest

from schedules.agronomy.climate import normals_of
from schedules.planner.demands import REFERENCE_C
from tests.outside import records

COOL_MARITIME = {
    "Wageningen": records.wageningen,
    "Brussels": lambda: records.county(records.BRUSSELS),
    "Cambridgeshire": lambda: records.county(records.CAMBRIDGE),
    "Norfolk": lambda: records.county(records.NORFOLK),
    "Suffolk": lambda: records.county(records.SUFFOLK),
}
ROOTS_BASE_C = 4.5  # between carrot 4, beetroot and turnip 4.4, parsnip 5: plots/crops/data/facts.csv
A_THIRD_MORE = 4 / 3
APRIL, NOVEMBER = 3, 10


def season_c(weather):
    usual = normals_of(weather)
    return ((usual.tmin_c + usual.tmax_c) / 2)[APRIL:NOVEMBER].mean()


@pytest.mark.parametrize("place", COOL_MARITIME)
def test_a_third_more_days_in_a_cool_maritime_season_gives_the_reference(place):
    mean_c = season_c(COOL_MARITIME[place]())
    found_c = ROOTS_BASE_C + A_THIRD_MORE * (mean_c - ROOTS_BASE_C)
    print(f"{place}: April to October {mean_c:.1f} °C, printed days hold at {found_c:.1f} °C")
    assert found_c == pytest.approx(REFERENCE_C, abs=1.5)


def test_the_earliest_peas_take_their_published_heat_in_their_printed_days():
    """694 degree days above 4.4 °C: University of Delaware Extension, Weekly Crop Update, 2025. Their packets
    say 55 to 65 days: from memory, United States seed lists."""
    for days in (55, 65):
        assert 4.4 + 694 / days == pytest.approx(REFERENCE_C, abs=2.0)
