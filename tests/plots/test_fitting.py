"""What else would fit on some ground."""

from datetime import date

import pytest

from plots.fitting_selectors import crops_fitting
from tests import factories

pytestmark = pytest.mark.django_db


def test_what_keeps_its_ground_or_comes_again_is_not_offered_for_a_season() -> None:
    """Lettuce is of one family with the artichokes, turnip with horseradish; the ground is free for both."""
    cast = factories.make_cast(since=date(2010, 1, 1), normals=False)
    offered = {
        crop.key
        for crop in crops_fitting(factories.make_sowing(cast.bed, "kale", season=2025), current_season=2025)
    }
    assert {"lettuce", "turnip"} <= offered
    assert not offered & {"horseradish", "jerusalem-artichoke", "globe-artichoke", "rhubarb"}
