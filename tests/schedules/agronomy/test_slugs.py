import pytest

from schedules.agronomy.slugs import Liveliness, slug_night


@pytest.mark.parametrize(
    ("mean_c", "wind_ms", "rain_mm", "expected"),
    [
        (12.0, 1.0, 5.0, Liveliness.MANY),
        (12.0, 4.4, 5.0, Liveliness.MANY),
        (12.0, 6.0, 5.0, Liveliness.SOME),
        (12.0, 10.0, 5.0, Liveliness.FEW),
        (12.0, 1.0, 0.2, Liveliness.FEW),
        (2.0, 1.0, 5.0, Liveliness.SOME),
        (0.5, 1.0, 5.0, Liveliness.FEW),
        (25.0, 1.0, 5.0, Liveliness.SOME),
        (30.0, 1.0, 5.0, Liveliness.FEW),
    ],
)
def test_slugs_are_out_in_mild_wet_still_nights(mean_c, wind_ms, rain_mm, expected):
    # Oregon State University, slug portal: 40 to 70 °F, wind under 5 miles an hour, damp; none under 34 °F.
    assert slug_night(mean_c, wind_ms, rain_mm) is expected


@pytest.mark.parametrize("place", range(3))
def test_an_unknown_value_is_refused(place):
    values = [12.0, 1.0, 5.0]
    values[place] = float("nan")
    with pytest.raises(ValueError, match="must be known"):
        slug_night(*values)
