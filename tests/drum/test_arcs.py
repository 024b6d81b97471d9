import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from kerftone.drum.arcs import ClosedPath, middle_of_arc, with_arcs

# Chords of a quarter circle of 80 mm that stray from it by less than 0.05 mm: 80 (1 - cos(90/23/2 deg)).
ENOUGH = 23


def test_a_square_stays_a_square():
    path = with_arcs(box(0.0, 0.0, 30.0, 20.0).exterior.coords)
    assert len(path.points) == 4 and set(path.bulges) == {0.0}


@given(st.floats(1.0, 80.0), st.integers(0, 8))
def test_a_whole_circle_is_two_halves(radius, more):
    quarter = ENOUGH + more
    path = with_arcs(Point(5.0, -3.0).buffer(radius, quad_segs=quarter).exterior.coords)
    assert len(path.points) == 2
    assert [abs(b) for b in path.bulges] == pytest.approx([1.0, 1.0])


@given(st.floats(3.0, 40.0), st.floats(50.0, 90.0))
def test_a_long_hole_is_two_lines_and_two_half_circles(radius, length):
    path = with_arcs(LineString([(0.0, 0.0), (length, 0.0)]).buffer(radius, quad_segs=ENOUGH).exterior.coords)
    assert len(path.points) == 4
    assert sorted(abs(b) for b in path.bulges) == pytest.approx([0.0, 0.0, 1.0, 1.0], abs=1e-9)
    area = 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b, _ in path.pieces())
    # The true shape is larger than its chords by the circle; what stays straight is the rectangle.
    assert abs(area) == pytest.approx(2.0 * radius * length)
    assert path.area_mm2() == pytest.approx(2.0 * radius * length + math.pi * radius**2, rel=1e-6)


def test_an_arc_that_turns_inwards_takes_its_half_circle_off_the_area():
    way_out = ((0.0, 0.0), (10.0, 0.0), (30.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0))
    dented = ClosedPath(points=way_out, bulges=(0.0, -1.0, 0.0, 0.0, 0.0, 0.0))
    assert dented.area_mm2() == pytest.approx(1200.0 - 0.5 * math.pi * 100.0)
    other_way = ClosedPath(points=way_out[::-1], bulges=(0.0, 0.0, 0.0, 1.0, 0.0, 0.0))
    assert other_way.area_mm2() == pytest.approx(dented.area_mm2())


def test_the_middle_of_an_arc_lies_on_its_circle_and_on_its_side():
    # Counter-clockwise from (1, 0) to (0, 1) about the origin: a quarter, bulge tan(22.5 degrees).
    x, y = middle_of_arc((1.0, 0.0), (0.0, 1.0), math.tan(math.radians(22.5)))
    assert (x, y) == pytest.approx((math.sqrt(0.5), math.sqrt(0.5)))
    x, y = middle_of_arc((0.0, 1.0), (1.0, 0.0), -math.tan(math.radians(22.5)))
    assert (x, y) == pytest.approx((math.sqrt(0.5), math.sqrt(0.5)))


def test_a_bent_line_and_a_regular_hexagon_stay_straight():
    bent = [(0.0, 0.0), (10.0, 0.0), (20.0, 3.0), (20.0, 20.0), (0.0, 20.0)]
    assert set(with_arcs(bent).bulges) == {0.0}
    zigzag = [(float(x), 0.5 * (x % 2)) for x in range(12)] + [(11.0, 20.0), (0.0, 20.0)]
    assert set(with_arcs(zigzag).bulges) == {0.0}


@pytest.mark.parametrize("start", range(0, 94, 7))
def test_where_the_ring_begins_does_not_matter(start):
    ring = list(LineString([(0.0, 0.0), (60.0, 0.0)]).buffer(9.0, quad_segs=ENOUGH).exterior.coords)[:-1]
    ring = ring[start:] + ring[:start]
    assert len(with_arcs(ring).points) == 4


def test_chamfers_whose_corners_lie_on_a_circle_stay_straight():
    """Four corners of a symmetrical end always lie on one circle; the wood between them must not move."""
    end = [(0.0, -20.0), (90.0, -20.0), (100.0, -10.0), (100.0, 10.0), (90.0, 20.0), (0.0, 20.0)]
    assert set(with_arcs(end).bulges) == {0.0}


def test_chords_of_an_arc_lie_on_its_circle_and_turn_by_no_more_than_asked():
    quarter = ClosedPath(
        points=((10.0, 0.0), (0.0, 10.0), (0.0, 0.0)), bulges=(math.tan(math.radians(22.5)), 0.0, 0.0)
    )
    points = quarter.chords(most_deg=6.0)
    assert points[-1] == (0.0, 0.0) and len(points) == 16 + 2  # 90 degrees halved four times
    for x, y in points[:-1]:
        assert math.hypot(x, y) == pytest.approx(10.0)
    turns = [math.degrees(math.atan2(y, x)) for x, y in points[:-1]]
    assert all(0.0 < after - before <= 6.0 for before, after in pairwise(turns))
