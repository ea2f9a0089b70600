"""Made-up sightings for properties."""

from hypothesis import strategies as st

from plots.rotation import Sighting
from tests.plots.rotation.ground import box

PROBLEMS = ("clubroot", "root-knot-nematode", "beet-cyst-nematode", "white-rot", "sclerotinia")


@st.composite
def sightings(draw: st.DrawFn) -> Sighting:
    """Something seen near the bed, sure or not, in one of the last fifteen seasons."""
    x, y = (draw(st.integers(-300, 300)) / 100 for _ in "xy")
    long_m, wide_m = (draw(st.integers(10, 400)) / 100 for _ in "lw")
    return Sighting(
        str(draw(st.uuids())),
        box(x, y, x + long_m, y + wide_m),
        draw(st.sampled_from(PROBLEMS)),
        draw(st.integers(2010, 2025)),
        draw(st.booleans()),
        draw(st.sampled_from(["", "", "tub"])),
    )
