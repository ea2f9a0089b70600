"""Daylight against the worked examples of FAO Irrigation and Drainage Paper 56 (Allen and others 1998).

Example 9: on 3 September (day 246) at 20 degrees south there are 11.7 hours of daylight.
"""

import numpy as np

from schedules.agronomy.radiation import daylight_hours


def test_example_9_gives_its_hours_of_daylight():
    assert round(float(daylight_hours(np.array([246.0]), -20.0)[0]), 1) == 11.7
