"""Areas are worked out on chords; the curves that were drawn take their places again."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from kerftone.drum.arcs import Segment, circle_of, closed_path, curve_chords
from kerftone.drum.bends import with_bends

FINE = 0.005
CUBIC = Segment(start=(0.0, 0.0), end=(30.0, 5.0), controls=((5.0, 18.0), (40.0, 20.0)))


def half_circles(x, y, radius):
    ends = (x + radius, y), (x - radius, y)
    return (
        Segment(start=ends[0], end=ends[1], bulge=1.0),
        Segment(start=ends[1], end=ends[0], bulge=1.0),
    )


def test_a_square_stays_a_square_whatever_curves_are_known():
    path = with_bends(
        box(0.0, 0.0, 30.0, 20.0).exterior.coords, half_circles(15.0, 10.0, 5.0), sagitta_mm=FINE
    )
    assert len(path.points) == 4 and set(path.bulges) == {0.0}


@given(st.floats(1.0, 80.0), st.floats(0.001, 0.2))
def test_a_whole_circle_is_its_two_halves(radius, sagitta):
    halves = half_circles(5.0, -3.0, radius)
    path = with_bends([*curve_chords(halves, sagitta)], halves, sagitta_mm=sagitta)
    assert [abs(b) for b in path.bulges] == pytest.approx([1.0, 1.0])
    assert path.area_mm2() == pytest.approx(math.pi * radius**2)


@pytest.mark.parametrize("sagitta", [0.2, 0.05, 0.005])
def test_a_disc_cut_by_a_straight_edge_is_one_arc_and_the_edge(sagitta):
    halves = half_circles(0.0, 0.0, 10.0)
    cut = Polygon(curve_chords(halves, sagitta)).intersection(box(-20.0, -20.0, 20.0, -4.0))
    path = with_bends(cut.exterior.coords, halves, sagitta_mm=sagitta)
    (arc,) = [one for one in path.segments() if one.bulge]
    assert len(path.points) == 2
    # The ends lie on chords, so many sagittas off the circle; what is cut off is a segment of 4 mm from the middle.
    half = math.acos(0.4)
    assert path.area_mm2() == pytest.approx(100.0 * (half - 0.4 * math.sin(half)), rel=0.02 * sagitta)
    assert circle_of(arc).radius_mm == pytest.approx(10.0, abs=2.0 * sagitta)


def test_a_free_curve_cut_in_two_gives_both_its_parts_back():
    whole = Polygon(curve_chords([CUBIC], FINE))
    outside = whole.difference(box(14.0, -5.0, 16.0, 50.0))
    parts = [with_bends(part.exterior.coords, [CUBIC], sagitta_mm=FINE) for part in outside.geoms]
    assert [sum(one.controls is not None for one in part.segments()) for part in parts] == [1, 1]
    exact = closed_path([CUBIC, Segment(start=CUBIC.end, end=CUBIC.start)]).area_mm2()
    middle = with_bends(
        whole.intersection(box(14.0, -5.0, 16.0, 50.0)).exterior.coords, [CUBIC], sagitta_mm=FINE
    )
    assert sum(part.area_mm2() for part in (*parts, middle)) == pytest.approx(exact, rel=1e-4)


def test_a_chamfer_between_two_points_of_a_known_arc_stays_straight():
    """Both its ends lie on the circle, its middle does not."""
    arc = Segment(start=(10.0, 0.0), end=(0.0, 10.0), bulge=math.tan(math.radians(22.5)))
    path = with_bends([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)], [arc], sagitta_mm=FINE)
    assert set(path.bulges) == {0.0}


@pytest.mark.parametrize("start", range(0, 60, 7))
def test_where_the_ring_begins_does_not_matter(start):
    halves = half_circles(0.0, 0.0, 10.0)
    whole = Polygon(curve_chords(halves, FINE)).union(box(-30.0, -2.0, 0.0, 2.0))
    ring = list(whole.exterior.coords)[:-1]
    ring = ring[start:] + ring[:start]
    path = with_bends(ring, halves, sagitta_mm=FINE)
    assert sorted(one.is_straight for one in path.segments()) == [False, False, True, True, True]
