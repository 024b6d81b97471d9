"""Places a hair outside the mesh are found in it."""

from __future__ import annotations

import ngsolve as ng
import numpy as np
import pytest
from netgen.csg import unit_cube

from kerftone.modal.in_mesh import in_mesh


@pytest.fixture(scope="module")
def cube() -> ng.Mesh:
    return ng.Mesh(unit_cube.GenerateMesh(maxh=0.4))


def test_a_point_in_the_mesh_stays_where_it_is(cube: ng.Mesh) -> None:
    points = np.array([[0.3, 0.2, 0.9], [0.5, 0.5, 0.5]])
    found = in_mesh(cube, points)
    assert ng.x(found).ravel() == pytest.approx(points[:, 0])
    assert ng.z(found).ravel() == pytest.approx(points[:, 2])


def test_a_point_outside_is_taken_to_the_wood_beside_it_and_the_others_stay(cube: ng.Mesh) -> None:
    points = np.array([[0.3, 0.2, 0.9], [1.0005, 0.5, 0.5], [0.5, -5e-4, 0.4]])
    with pytest.raises(Exception, match="not in mesh"):
        ng.x(cube(*points.T))
    found = in_mesh(cube, points)
    xyz = np.column_stack([function(found).ravel() for function in (ng.x, ng.y, ng.z)])
    assert xyz[0] == pytest.approx(points[0])
    assert np.abs(xyz - points).max() < 0.02
    assert xyz.min() > -1e-4 and xyz.max() < 1.0001, "but for the kernel's own tolerance"
