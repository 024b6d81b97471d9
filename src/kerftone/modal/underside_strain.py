"""How much the top's underside is strained at a point in each mode: what a contact disc would answer to.

The sum of the two strains in the plane of the board (1/m per square root of kg of modal mass), which is
what a round disc glued flat averages. Points in mm from above.
"""

from __future__ import annotations

import ngsolve as ng
import numpy as np

from kerftone.modal.result import Array
from kerftone.modal.solve import Solution

INSIDE_MM = 0.05
"""Read this far above the underside, so that each point lies in an element."""


def underside_strain(solution: Solution, points_mm: Array, modes: list[int]) -> Array:
    """The strain (p, m) of the underside at these points (p, 2) in these modes.

    Held by tests/modal/test_underside_strain.py. Points over a bore or outside the wood raise NGSolve's own error; ask
    for points on the wood.

    Parameters
    ----------
    solution : Solution
        The solved drum.
    points_mm : Array
        (p, 2), in mm.
    modes : list[int]
        Counted from 0.
    """
    space = solution.space
    depth = np.full(len(points_mm), INSIDE_MM)
    for bore in solution.drum.bores:
        over = np.hypot(points_mm[:, 0] - bore.x_mm, points_mm[:, 1] - bore.y_mm) <= 0.55 * bore.diameter_mm
        depth[over] = np.maximum(depth[over], bore.depth_mm + INSIDE_MM)
    found = space.mesh(points_mm[:, 0] * 1e-3, points_mm[:, 1] * 1e-3, depth * 1e-3)
    field = ng.GridFunction(space.field)
    slope = ng.Grad(field)
    strain = np.empty((len(points_mm), len(modes)))
    for column, mode in zip(strain.T, modes, strict=True):
        field.vec.FV().NumPy()[:] = solution.shapes[mode]
        column[:] = (slope[0, 0] + slope[1, 1])(found).ravel()
    return strain
