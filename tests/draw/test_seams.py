import numpy as np
import pytest
from shapely.geometry import LineString

from kerftone.draw.contour import level_lines
from kerftone.draw.seams import seamless


def _parted(corners, parts):
    """One triangle cut into parts² on its own points, as a vibration model may hand it over."""
    rows = [(i, j) for i in range(parts + 1) for j in range(parts + 1 - i)]
    number = {place: k for k, place in enumerate(rows)}
    points = np.array(
        [
            corners[0] + (i * (corners[1] - corners[0]) + j * (corners[2] - corners[0])) / parts
            for i, j in rows
        ]
    )
    pieces = [(number[i, j], number[i + 1, j], number[i, j + 1]) for i, j in rows if i + j < parts]
    pieces += [
        (number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]) for i, j in rows if i + j < parts - 1
    ]
    return points, np.array(pieces)


@pytest.fixture
def patchwork():
    """A 40 by 20 mm field of four triangles cut 2, 3, 4 and 5 times, each on points of its own."""
    a, b, c, d, e, f = (
        np.array(p, dtype=float) for p in ((0, 0), (20, 0), (40, 0), (0, 20), (20, 20), (40, 20))
    )
    points, triangles = [], []
    for corners, parts in (((a, b, e), 2), ((a, e, d), 3), ((b, c, f), 4), ((b, f, e), 5)):
        own, pieces = _parted(np.array(corners), parts)
        triangles.append(pieces + sum(map(len, points)))
        # A nanometre or so of disagreement between neighbours.
        points.append(own + 1e-6 * np.sin(np.arange(2 * len(own)).reshape(-1, 2)))
    return np.concatenate(points), np.concatenate(triangles)


def _sides(triangles):
    pairs = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2), axis=1)
    return np.unique(pairs, axis=0, return_counts=True)


def test_afterwards_every_side_has_a_neighbour_but_those_on_the_rim(patchwork):
    points, triangles = patchwork
    joined, mesh, _ = seamless(points, triangles, points[:, 0])
    pairs, count = _sides(mesh)
    assert count.max() == 2
    rim = pairs[count == 1]
    length = np.sum(np.linalg.norm(joined[rim[:, 1]] - joined[rim[:, 0]], axis=1))
    assert length == pytest.approx(2 * (40 + 20), abs=1e-3)
    before, count_before = _sides(triangles)
    assert np.sum(count_before == 1) > 3 * len(rim) / 2 and len(before) > 0


def test_no_wood_is_lost_or_laid_double(patchwork):
    points, triangles = patchwork
    joined, mesh, _ = seamless(points, triangles, points[:, 0])
    a, b = joined[mesh[:, 1]] - joined[mesh[:, 0]], joined[mesh[:, 2]] - joined[mesh[:, 0]]
    area = 0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    assert np.all(area > 0.0)
    assert np.sum(area) == pytest.approx(800.0, abs=1e-3)


def test_a_plane_stays_a_plane(patchwork):
    points, triangles = patchwork
    joined, _, values = seamless(points, triangles, 2.0 * points[:, 0] - points[:, 1])
    assert values == pytest.approx(2.0 * joined[:, 0] - joined[:, 1], abs=1e-4)


def test_a_contour_crosses_the_seams_in_one_piece(patchwork):
    points, triangles = patchwork
    slanting = points[:, 1] - 0.2 * points[:, 0]
    assert len(level_lines(points, triangles, slanting, 5.0)) > 1
    (line,) = level_lines(*seamless(points, triangles, slanting), 5.0)
    assert LineString(line).length == pytest.approx(np.hypot(40.0, 8.0), abs=1e-3)


def test_a_mesh_without_seams_is_left_alone():
    points = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    triangles = np.array([[0, 1, 2], [0, 2, 3]])
    same, mesh, values = seamless(points, triangles, np.arange(4.0))
    assert np.array_equal(same, points)
    assert np.array_equal(mesh, triangles)
    assert np.array_equal(values, np.arange(4.0))
