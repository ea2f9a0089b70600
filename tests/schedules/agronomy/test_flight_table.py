import pytest

from plots.crops import INSECTS
from schedules.agronomy.flight_table import COLUMNS, FlightDataFault, flight_models
from schedules.agronomy.flights import MODELS

HEADER = ",".join(COLUMNS)
GOOD = {
    "insect": "carrot-fly",
    "flight": "1",
    "event": "start",
    "sum_cd": "260",
    "base_c": "5",
    "upper_c": "",
    "counted_from": "03-01",
    "basis": "read",
    "source": "somewhere",
}


def table(tmp_path, *rows, header=HEADER):
    path = tmp_path / "flights.csv"
    lines = [",".join((GOOD | row)[column] for column in COLUMNS) for row in rows]
    path.write_text("\n".join([header, *lines]) + "\n", encoding="utf-8")
    return path


def test_every_insect_of_the_crops_has_flights():
    assert MODELS.keys() == INSECTS


def test_every_sum_names_its_source_and_what_it_rests_on():
    for model in MODELS.values():
        for event in model.events.values():
            assert event.source
            assert event.source.startswith("derived") == (event.basis == "derived")


def test_flights_of_an_insect_come_one_after_the_other_at_their_own_base():
    for model in MODELS.values():
        by_base = {}
        for event in model.events.values():
            by_base.setdefault((event.base_c, event.starts), []).append(event.sum_cd)
        assert all(sums == sorted(sums) for sums in by_base.values())


def test_a_row_is_read(tmp_path):
    event = flight_models(table(tmp_path, {"upper_c": "28.9"}))["carrot-fly"].events["start"]
    assert (event.flight, event.sum_cd, event.base_c, event.upper_c, event.starts) == (
        1,
        260.0,
        5.0,
        28.9,
        (3, 1),
    )


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"sum_cd": "many"}, "row 2, sum_cd: 'many' is no number"),
        ({"sum_cd": "nan"}, "row 2, sum_cd"),
        ({"sum_cd": "0"}, "row 2, sum_cd: a sum must be above 0"),
        ({"upper_c": "4"}, "row 2, upper_c: must be above base_c"),
        ({"counted_from": "02-30"}, "row 2, counted_from"),
        ({"counted_from": "spring"}, "row 2, counted_from"),
        ({"event": "lunch"}, "row 2, event: 'lunch'"),
        ({"flight": "9"}, "row 2, event: 'start' of flight '9'"),
        ({"basis": "hearsay"}, "row 2, basis: 'hearsay'"),
        ({"source": ""}, "row 2, source"),
    ],
)
def test_a_fault_is_named_by_row_and_column(tmp_path, changed, message):
    with pytest.raises(FlightDataFault, match=message):
        flight_models(table(tmp_path, changed))


def test_the_same_event_twice_is_refused(tmp_path):
    with pytest.raises(FlightDataFault, match="row 3, event: carrot-fly has start twice"):
        flight_models(table(tmp_path, {}, {}))


def test_rows_of_an_insect_stand_together(tmp_path):
    rows = ({}, {"insect": "onion-fly"}, {"event": "over"})
    with pytest.raises(FlightDataFault, match="row 4, insect: the rows of carrot-fly"):
        flight_models(table(tmp_path, *rows))


def test_another_header_is_refused(tmp_path):
    with pytest.raises(FlightDataFault, match="first line"):
        flight_models(table(tmp_path, {}, header="insect,sum"))
