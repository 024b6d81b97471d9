import numpy as np
import pytest
from scipy.spatial import Delaunay
from shapely.geometry import LineString, Polygon

from kerftone.draw.contour import level_lines, rings_above


def _field(step, function):
    points = np.array([(x, y) for x in np.arange(-1.2, 1.21, step) for y in np.arange(-1.2, 1.21, step)])
    points[1:-1] += 0.2 * step * np.sin(np.arange(2 * len(points) - 4).reshape(-1, 2) * 1.7)
    triangles = Delaunay(points).simplices
    triangles[::2] = triangles[::2, ::-1]
    return points, triangles, function(*points.T)


def _area(rings):
    """Area by the odd-even rule: each ring counted once more off the ones it lies in."""
    area = Polygon()
    for ring in rings:
        area = area.symmetric_difference(Polygon(ring))
    return area.area


@pytest.mark.outside
def test_the_area_above_a_level_of_a_cone_is_a_disc():
    points, triangles, values = _field(0.05, lambda x, y: 1.0 - np.hypot(x, y))
    rings = rings_above(points, triangles, values, 0.3)
    assert len(rings) == 1
    assert _area(rings) == pytest.approx(np.pi * 0.49, rel=3e-3)


def test_a_ridge_round_a_dip_leaves_a_hole():
    points, triangles, values = _field(0.05, lambda x, y: -np.abs(np.hypot(x, y) - 0.6))
    rings = rings_above(points, triangles, values, -0.2)
    assert len(rings) == 2
    assert _area(rings) == pytest.approx(np.pi * (0.8**2 - 0.4**2), rel=2e-2)


@pytest.mark.rate
def test_the_area_comes_nearer_with_the_square_of_the_mesh_size():
    errors = []
    for step in (0.16, 0.08, 0.04):
        rings = rings_above(*_field(step, lambda x, y: -(x**2) - y**2), -0.64)
        errors.append(abs(_area(rings) - np.pi * 0.64))
    assert np.log2(errors[0] / errors[2]) / 2.0 == pytest.approx(2.0, abs=0.4)


def test_what_lies_all_above_is_its_own_edge_and_what_lies_all_below_is_nothing():
    points, triangles, values = _field(0.3, lambda x, y: x)
    whole = rings_above(points, triangles, values, -9.0)
    assert _area(whole) == pytest.approx(sum(Polygon(points[t]).area for t in triangles), rel=1e-9)
    assert rings_above(points, triangles, values, 9.0) == []


def test_the_line_of_a_level_is_the_circle_and_is_closed():
    points, triangles, values = _field(0.05, lambda x, y: 1.0 - np.hypot(x, y))
    (line,) = level_lines(points, triangles, values, 0.5)
    assert line[0] == line[-1]
    assert LineString(line).length == pytest.approx(np.pi, rel=5e-3)
    assert np.hypot(*np.array(line).T) == pytest.approx(np.full(len(line), 0.5), abs=0.01)


def test_a_level_that_runs_off_the_mesh_is_one_open_line():
    points, triangles, values = _field(0.1, lambda x, y: x + 0.01)
    (line,) = level_lines(points, triangles, values, 0.0)
    assert line[0] != line[-1]
    assert LineString(line).length == pytest.approx(2.4, rel=0.1)
