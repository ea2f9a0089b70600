"""The plan is true to scale, safe to show, and says the same thing with the same hatch."""

from itertools import pairwise
from xml.etree.ElementTree import Element, fromstring

import pytest
from shapely import Polygon, box

from plots.outlines import rectangle
from plots.rotation import rest_rules
from schedules.drafting import PAGE_WIDTH
from schedules.drawing import BedShape, CropShape, plot_drawing, row_lines
from schedules.hatches import MARKS, hatch_id, mark_of

SVG = "{http://www.w3.org/2000/svg}"
PLOT = rectangle((100, 50), length_m=20, width_m=8)


def drawn(*, beds=(), crops=(), outline=PLOT) -> Element:
    text = plot_drawing(title="Plot 7", words="A plan", outline=outline, beds=beds, crops=crops)
    return fromstring(text)


def corners(svg: Element, kind: str) -> list[tuple[float, float]]:
    shape = next(each for each in svg.iter(f"{SVG}polygon") if each.get("class") == kind)
    return [tuple(map(float, corner.split(","))) for corner in shape.get("points").split()]


def size(points: list[tuple[float, float]]) -> tuple[float, float]:
    xs, ys = zip(*points, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_beds_are_drawn_in_the_scale_of_the_plot():
    svg = drawn(beds=[BedShape("bed 1", rectangle((101, 51), length_m=5, width_m=1.2))])

    (plot_w, plot_h), (bed_w, bed_h) = size(corners(svg, "plan-plot")), size(corners(svg, "plan-bed"))

    assert bed_w / plot_w == pytest.approx(5 / 20, rel=1e-3)
    assert bed_h / plot_h == pytest.approx(1.2 / 8, rel=1e-3)


def test_north_is_up():
    svg = drawn(
        beds=[
            BedShape("south", rectangle((101, 51), length_m=5, width_m=1)),
            BedShape("north", rectangle((101, 56), length_m=5, width_m=1)),
        ]
    )
    south, north = [each for each in svg.iter(f"{SVG}polygon") if each.get("class") == "plan-bed"]

    assert float(north.get("points").split(",")[1].split()[0]) < float(
        south.get("points").split(",")[1].split()[0]
    )


def test_the_rule_is_as_long_as_the_metres_it_names():
    svg = drawn()
    ruler = next(each for each in svg.iter(f"{SVG}g") if each.get("class") == "plan-ruler")
    length = sum(float(cell.get("width")) for cell in ruler.iter(f"{SVG}rect"))
    metres = int(list(ruler.iter(f"{SVG}text"))[-1].text.split()[0])

    units_per_m = size(corners(svg, "plan-plot"))[0] / 20
    assert length == pytest.approx(metres * units_per_m, rel=1e-3)


@pytest.mark.parametrize(("length_m", "width_m"), [(3, 2), (25, 10), (8, 60), (200, 90)])
def test_every_plot_fits_the_page(length_m, width_m):
    outline = rectangle((0, 0), length_m=length_m, width_m=width_m)

    width, _ = size(corners(drawn(outline=outline), "plan-plot"))

    assert width <= PAGE_WIDTH - 20 + 1e-6


def test_rows_lie_at_their_real_spacing():
    rows = row_lines(box(0, 0, 100, 12), 3)

    levels = [row.coords[0][1] for row in rows]
    assert len(levels) == 4
    assert all(b - a == pytest.approx(3) for a, b in pairwise(levels))


def test_rows_stay_inside_a_crooked_patch():
    patch = Polygon([(0, 0), (90, 10), (70, 40), (5, 30)])

    assert all(patch.buffer(1e-6).covers(row) for row in row_lines(patch, 4))


def test_a_patch_narrower_than_a_row_still_has_one():
    assert len(row_lines(box(0, 0, 50, 1), 6)) == 1


def test_a_name_is_never_taken_for_markup():
    bed = BedShape('</svg><script>x="1"</script>', rectangle((101, 51), length_m=15, width_m=1.2))

    text = plot_drawing(title="<b>7</b>", words="&", outline=PLOT, beds=[bed], crops=[])

    assert "<script" not in text
    assert "<b>" not in text


def test_nothing_is_styled_in_the_drawing_itself():
    crop = CropShape("Turnip", "Brassicaceae", rectangle((101, 51), length_m=5, width_m=1.2), 0.3)

    svg = drawn(beds=[BedShape("bed 1", crop.outline, 3, "Apiaceae")], crops=[crop])

    assert not [each for each in svg.iter() if each.get("style") or each.tag == f"{SVG}style"]


def test_seasons_to_rest_stand_large_in_the_bed():
    svg = drawn(beds=[BedShape("bed 1", rectangle((101, 51), length_m=5, width_m=1.2), 3, "Apiaceae")])

    figure = next(each for each in svg.iter(f"{SVG}text") if each.get("class") == "plan-rest")
    name = next(each for each in svg.iter(f"{SVG}text") if each.get("class") == "plan-name")
    assert figure.text == "3"
    assert float(figure.get("font-size")) > 1.5 * float(name.get("font-size"))


def test_every_family_with_a_rest_period_has_a_mark_and_a_hatch_of_its_own():
    assert set(rest_rules()) <= set(MARKS)
    assert len(set(MARKS.values())) == len({hatch_id(family) for family in MARKS}) == len(MARKS)


def test_a_family_without_a_hatch_goes_by_its_first_letters():
    assert (mark_of("Lamiaceae"), hatch_id("Lamiaceae")) == ("La", "hatch-other")


@pytest.mark.parametrize(("corner", "is_whole"), [((116, 51), True), ((1e6, 51), False)])
def test_a_bed_of_older_days_over_the_edge_is_drawn_whole_and_one_far_off_hides_no_plot(corner, is_whole):
    svg = drawn(beds=[BedShape("bed 1", rectangle(corner, length_m=8, width_m=1.2))])

    ends = [x for x, _ in corners(svg, "plan-bed")]
    assert (max(ends) <= PAGE_WIDTH) is is_whole
    assert size(corners(svg, "plan-plot"))[0] > PAGE_WIDTH / 2
