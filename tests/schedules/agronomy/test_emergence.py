import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plots.crops import GerminationTable, crop, crops
from schedules.agronomy.emergence import emergence_index, emergence_rate

CARROT = crop("carrot-early").germination
TURNIP = crop("turnip").germination


def constant(soil_c, days=400, members=1):
    return np.full((members, days), float(soil_c))


def test_between_table_points_the_rate_is_drawn_straight():
    assert emergence_rate(CARROT, 12.5) == pytest.approx((1 / 17 + 1 / 10) / 2)


@pytest.mark.parametrize("soil_c", [0, -3, 40, 45])
def test_where_nothing_germinates_the_rate_is_nothing(soil_c):
    assert emergence_rate(CARROT, soil_c) == 0


def test_where_nothing_colder_was_tried_the_line_is_drawn_on_to_nothing():
    """Cabbage: 15 days at 10 °C and 9 at 15 °C, so 2/450 a degree and nothing at 2.5 °C."""
    cabbage = crop("cabbage-summer").germination
    assert cabbage.status[:2] == ("not_tested", "not_tested")
    assert emergence_rate(cabbage, [0.0, 2.5, 5.0, 10.0]).tolist() == pytest.approx([0, 0, 1 / 45, 1 / 15])


def test_a_colder_point_that_was_tried_in_vain_brings_the_rate_down_to_nothing():
    carrot = crop("carrot-early").germination
    assert carrot.status[0] == "no_germination"
    assert emergence_rate(carrot, [0.0, 2.5, 5.0]).tolist() == pytest.approx([0, 0.5 / 51, 1 / 51])


def test_below_the_last_point_of_the_table_nothing_happens():
    parsnip = crop("parsnip").germination
    assert emergence_rate(parsnip, [-0.1, 0.0]).tolist() == pytest.approx([0, 1 / 172])


def test_an_untried_point_between_measured_ones_is_passed_over():
    table = GerminationTable(
        "t", (5, 10, 15), (20, None, 10), ("measured", "not_tested", "measured"), (), 13, ""
    )
    assert emergence_rate(table, 10) == pytest.approx((1 / 20 + 1 / 10) / 2)


def test_an_unknown_temperature_gives_an_unknown_rate():
    assert np.isnan(emergence_rate(CARROT, [np.nan, 10.0])).tolist() == [True, False]


def test_a_table_with_nothing_measured_is_refused():
    table = GerminationTable("empty", (5, 10), (None, None), ("not_tested",) * 2, (None, None), 13, "")
    with pytest.raises(ValueError, match="'empty' has no measured point"):
        emergence_rate(table, 10)


def test_days_count_from_the_day_of_sowing():
    assert emergence_index(CARROT, constant(10), 20).tolist() == [37]


def test_warm_half_and_cool_half_add_up():
    soil_c = np.concatenate([np.full(5, 15.0), np.full(100, 20.0)])[None]
    # 4 days at 1/10 after the sowing day, then days at 1/7: 0.4 + 5/7 > 1 > 0.4 + 4/7
    assert emergence_index(CARROT, soil_c, 0).tolist() == [9]


def test_each_member_may_be_sown_on_its_own_day():
    assert emergence_index(CARROT, constant(10, members=3), [0, 10, -1]).tolist() == [17, 27, -1]


def test_seed_in_cold_soil_does_not_come_up():
    assert emergence_index(CARROT, constant(0), 0).tolist() == [-1]


def test_emergence_past_the_window_is_never():
    assert emergence_index(CARROT, constant(10, days=17), 0).tolist() == [-1]


def test_in_the_field_nothing_shows_in_under_three_days():
    assert emergence_index(TURNIP, constant(25), 6).tolist() == [9]


def test_the_floor_cannot_carry_emergence_past_the_window():
    assert emergence_index(TURNIP, constant(25, days=5), 3).tolist() == [-1]


def test_a_gap_in_the_soil_leaves_emergence_unknown():
    soil_c = constant(10)
    soil_c[0, 8] = np.nan
    assert emergence_index(CARROT, soil_c, 0).tolist() == [-1]


@given(
    key=st.sampled_from(sorted({each.key for each in crops() if each.germination})),
    soil_c=st.floats(0.0, 35.0),
    warmer_c=st.floats(0.0, 15.0),
)
def test_warmer_soil_never_delays_emergence_below_the_quickest_temperature(key, soil_c, warmer_c):
    table = crop(key).germination
    quickest = table.soil_c[int(np.argmin([np.inf if each is None else each for each in table.days]))]
    cold, warm = min(soil_c, quickest), min(soil_c + warmer_c, quickest)
    shown = [int(emergence_index(table, np.full((1, 400), each), 0)[0]) % 401 for each in (cold, warm)]
    assert shown[1] <= shown[0]


def test_held_days_are_added_to_the_wait():
    held = np.zeros((1, 60), dtype=bool)
    held[0, 3:8] = True
    table, soil_c = crop("carrot-early").germination, np.full((1, 60), 15.0)
    plain, dry = emergence_index(table, soil_c, 0), emergence_index(table, soil_c, 0, held=held)
    assert dry[0] == plain[0] + 5
