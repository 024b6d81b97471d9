import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely.geometry import LineString, Polygon

from kerftone.drum.arcs import (
    ClosedPath,
    Segment,
    arc_through,
    circle_of,
    closed_path,
    cubic_at,
    curve_chords,
    middle_of_arc,
    part_of,
    same_area_chords,
    segment_chords,
)

CUBIC = Segment(start=(0.0, 0.0), end=(30.0, 5.0), controls=((5.0, 18.0), (40.0, 20.0)))
ARC = Segment(start=(10.0, 0.0), end=(0.0, 10.0), bulge=math.tan(math.radians(22.5)))


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


@given(st.just(0.0) | st.floats(1e-5, 1.5) | st.floats(-1.5, -1e-5), st.floats(1e-4, 1.0))
def test_chords_of_an_arc_stray_by_no_more_than_the_sagitta(bulge, sagitta):
    arc = Segment(start=(3.0, -7.0), end=(40.0, 12.0), bulge=bulge)
    circle = circle_of(arc) if bulge else None
    points = segment_chords(arc, sagitta)
    assert points[0] == arc.start and points[-1] == arc.end
    for (x0, y0), (x1, y1) in pairwise(points):
        if circle is not None and not arc.is_straight:
            middle = math.dist((0.5 * (x0 + x1), 0.5 * (y0 + y1)), circle.centre)
            assert abs(middle - circle.radius_mm) <= min(sagitta, circle.radius_mm) + 1e-9 * circle.radius_mm


@pytest.mark.outside
def test_chords_of_a_free_curve_stray_by_no_more_than_the_sagitta_measured_by_shapely():
    fine = LineString([cubic_at(CUBIC, share) for share in np.linspace(0.0, 1.0, 20001)])
    for sagitta in (0.5, 0.05, 0.005):
        assert fine.hausdorff_distance(LineString(segment_chords(CUBIC, sagitta))) <= 1.01 * sagitta
    assert len(segment_chords(CUBIC, 0.005)) > 4 * len(segment_chords(CUBIC, 0.5))


def test_the_furthest_point_of_a_curve_is_a_corner_of_its_chords():
    widest = max(x for x, _ in segment_chords(CUBIC, 1.0))
    assert widest == pytest.approx(max(cubic_at(CUBIC, t)[0] for t in np.linspace(0, 1, 200001)), abs=1e-8)
    whole = Segment(start=(-5.0, 0.0), end=(-5.0, 8.0), bulge=0.7)
    circle = circle_of(whole)
    assert max(x for x, _ in segment_chords(whole, 2.0)) == pytest.approx(circle.centre[0] + circle.radius_mm)


@pytest.mark.outside
def test_the_area_beyond_a_free_curve_is_that_of_the_integral_and_of_fine_chords():
    path = closed_path([CUBIC, Segment(start=CUBIC.end, end=CUBIC.start)])

    def under(share):
        x, _ = cubic_at(CUBIC, share)
        step = 1e-6
        (_, low), (_, high) = cubic_at(CUBIC, share - step), cubic_at(CUBIC, share + step)
        return x * (high - low) / (2.0 * step)

    straight = 0.5 * (CUBIC.start[0] + CUBIC.end[0]) * (CUBIC.start[1] - CUBIC.end[1])
    assert path.area_mm2() == pytest.approx(abs(quad(under, 0.0, 1.0)[0] + straight), rel=1e-7)
    chords = Polygon(curve_chords([CUBIC], 1e-7))
    assert path.area_mm2() == pytest.approx(chords.area, rel=1e-6)
    assert path.moved(lambda p: (-p[0], p[1]), turned_over=True).area_mm2() == pytest.approx(path.area_mm2())


@pytest.mark.parametrize("piece", [CUBIC, ARC, Segment(start=(1.0, 2.0), end=(5.0, -3.0))])
def test_a_part_of_a_piece_lies_on_it_and_two_parts_make_the_whole(piece):
    fine = LineString(segment_chords(piece, 1e-6))
    one, other = part_of(piece, 0.0, 0.3), part_of(piece, 0.3, 1.0)
    assert one.start == pytest.approx(piece.start) and other.end == pytest.approx(piece.end)
    assert one.end == pytest.approx(other.start)
    for part in (one, other):
        assert max(fine.distance(p) for p in map(_point, segment_chords(part, 0.01))) < 1e-5
    assert part_of(piece, 0.3, 0.0).start == pytest.approx(one.end)


def _point(pair):
    from shapely.geometry import Point

    return Point(pair)


def test_an_arc_through_three_points_goes_through_them_also_beyond_a_half_circle():
    for degrees in (20.0, 120.0, -200.0, 300.0):
        angles = (math.radians(degrees * share) for share in (0.0, 0.4, 1.0))
        a, b, c = ((9.0 * math.cos(angle), 9.0 * math.sin(angle)) for angle in angles)
        circle = circle_of(arc_through(a, b, c))
        assert circle.radius_mm == pytest.approx(9.0) and math.degrees(circle.turns) == pytest.approx(degrees)
    assert arc_through((0.0, 0.0), (1.0, 1.0), (3.0, 3.0)).is_straight


def test_a_curve_read_backwards_is_the_same_curve():
    there, back = segment_chords(ARC, 0.01), segment_chords(ARC.backwards(), 0.01)
    assert np.allclose(there, back[::-1])
    assert cubic_at(CUBIC.backwards(), 0.25) == pytest.approx(cubic_at(CUBIC, 0.75))


@pytest.mark.parametrize("sagitta", [0.3, 0.15, 0.02])
@pytest.mark.parametrize(
    "piece", [CUBIC, ARC, ARC.backwards(), Segment(start=(0.0, -13.5), end=(0.0, 13.5), bulge=1.0)]
)
def test_a_mesh_of_few_chords_encloses_what_the_curve_does(piece, sagitta):
    true = closed_path([piece, Segment(start=piece.end, end=piece.start)]).area_mm2()
    plain, moved = (Polygon(make([piece], sagitta)).area for make in (curve_chords, same_area_chords))
    assert abs(plain - true) > 4e-3 * sagitta * true / 0.3
    assert abs(moved - true) < 0.05 * abs(plain - true)
    assert len(same_area_chords([piece], sagitta)) == len(curve_chords([piece], sagitta))
    assert same_area_chords([piece], sagitta)[0] == piece.start
    assert same_area_chords([piece], sagitta)[-1] == piece.end
