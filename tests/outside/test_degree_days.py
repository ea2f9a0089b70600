"""Degree days against a published worked example, numerical integration, and another program's sums."""

import csv
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad

from schedules.agronomy.thermal_time import (
    degree_days_average,
    degree_days_sine,
    degree_days_triangle,
)

# University of California Statewide Integrated Pest Management Program, degree-day worked example: Esparto,
# January 2020, °F, thresholds 55 and 93.9, formulas of Zalom et al. 1983 (UC Leaflet 21373). Minimum,
# maximum, single triangle, single sine.
ESPARTO_F = [
    (38, 55, 0.00, 0.00),
    (36, 67, 2.32, 3.31),
    (33, 59, 0.31, 0.68),
    (37, 59, 0.36, 0.74),
    (38, 63, 1.28, 1.99),
    (36, 58, 0.20, 0.48),
]
PRINTED_TO = 0.005 + 1e-9

# Sums over the Seattle record of the vega_datasets package (NOAA, public domain) by the single-sine function
# of the package nonlineartemppy (MIT licence), which rounds each day to five places.
SEATTLE_SINE_CD = [
    (0, (4139.187, 4441.429, 4699.805, 4797.490)),
    (5, (2451.017, 2759.324, 2975.691, 3049.911)),
    (10, (1201.702, 1436.256, 1559.743, 1616.110)),
]

DAYS = [
    (2, 12, 5, None),
    (5, 15, 10, None),
    (-3, 8, 5, None),
    (10, 10, 5, None),
    (0, 4, 5, None),
    (5, 35, 10, 30),
    (12, 33, 10, 30),
    (28, 36, 10, 30),
    (31, 36, 10, 30),
    (-4, 32, 5, 25),
    (3, 26, 5, 20),
]


@pytest.mark.parametrize(("low", "high", "triangle", "_sine"), ESPARTO_F)
def test_the_published_triangle_column_is_met(low, high, triangle, _sine):
    assert degree_days_triangle(low, high, 55, 93.9) == pytest.approx(triangle, abs=PRINTED_TO)


@pytest.mark.parametrize(("low", "high", "_triangle", "sine"), ESPARTO_F)
def test_the_published_sine_column_is_met(low, high, _triangle, sine):
    assert degree_days_sine(low, high, 55, 93.9) == pytest.approx(sine, abs=PRINTED_TO)


def test_the_published_daily_mean_example_is_met():
    """University of California, citrus threshold note: mean 64 °F over a base of 53 °F is 11 degree-days."""
    assert degree_days_average(64, 64, 53) == 11


@pytest.mark.parametrize(("low", "high", "base", "upper"), DAYS)
def test_the_sine_agrees_with_integrating_the_wave(low, high, base, upper):
    """scipy.integrate.quad over one day's sine wave, clipped between the thresholds."""

    def above(angle):
        wave = (low + high) / 2 + (high - low) / 2 * np.sin(angle)
        return np.clip(wave, base, upper) - base

    whole, _ = quad(above, 0, 2 * np.pi, limit=400)
    assert degree_days_sine(low, high, base, upper) == pytest.approx(whole / (2 * np.pi), abs=1e-6)


@pytest.fixture(scope="module")
def seattle():
    folder = Path(find_spec("vega_datasets").submodule_search_locations[0])
    with (folder / "_data" / "seattle-weather.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    return (
        np.array([row["date"][:4] for row in rows]),
        np.array([float(row["temp_min"]) for row in rows]),
        np.array([float(row["temp_max"]) for row in rows]),
    )


@pytest.mark.parametrize(("base", "sums"), SEATTLE_SINE_CD)
def test_four_years_of_seattle_agree_with_another_program(seattle, base, sums):
    years, low, high = seattle
    ours = [
        degree_days_sine(low, high, base)[years == year].sum() for year in ("2012", "2013", "2014", "2015")
    ]
    np.testing.assert_allclose(ours, sums, atol=366 * 5e-6 + 5e-4)
