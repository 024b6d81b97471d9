"""Points of the wood in the mesh, where the mesh has chords for its curves.

A place that lies in the wood by the drawing may lie a hair outside the mesh: within the sagitta of a chord at a round
end, or on a face to within rounding.
"""

from __future__ import annotations

from typing import Any

import ngsolve as ng
import numpy as np

from kerftone.modal.result import Array

INWARDS = (1e-3, 1e-2, 0.05, 0.2, 1.0)
"""How far a point outside the mesh is moved towards the middle of the nearest element, in turn; the last is in it."""


def in_mesh(mesh: ng.Mesh, points_m: Array) -> Any:
    """Where a field can be asked for at these points (p, 3), in metres.

    Those that lie outside all elements are moved towards the middle of the nearest, as far as they must. Held by
    tests/modal/test_in_mesh.py.
    """
    found = mesh(*points_m.T)
    missed = np.flatnonzero(found["nr"] < 0)
    if not len(missed):
        return found
    from scipy.spatial import cKDTree

    corners = np.array([vertex.point for vertex in mesh.vertices])
    middles = np.array(
        [corners[[v.nr for v in element.vertices]].mean(axis=0) for element in mesh.Elements()]
    )
    middles = middles[cKDTree(middles).query(points_m[missed])[1]]
    moved = np.array(points_m, dtype=float)
    for share in INWARDS:
        moved[missed] = points_m[missed] + share * (middles - points_m[missed])
        left = mesh(*moved[missed].T)["nr"] < 0
        missed, middles = missed[left], middles[left]
        if not len(missed):
            break
    return mesh(*moved.T)
