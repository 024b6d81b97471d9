"""How much the top's underside is strained at a point in each mode: what a contact disc would answer to.

The strains along and across the board (1/m per square root of kg of modal mass), of bare wood: what of them a disc
has is told in `sound/contact_disc.py`. Points in mm from above.
"""

from __future__ import annotations

import ngsolve as ng
import numpy as np

from kerftone.modal.in_mesh import in_mesh
from kerftone.modal.result import Array
from kerftone.modal.solve import Solution

INSIDE_MM = 0.05
"""Read this far inside the wood, so that each point lies in an element."""


def underside_strain(solution: Solution, points_mm: Array, modes: list[int]) -> Array:
    """The strain along and across (p, m, 2) of the underside at these points (p, 2) in these modes.

    Held by tests/modal/test_underside_strain.py. Of points outside the wood, that of the nearest wood.

    Parameters
    ----------
    solution : Solution
        The solved drum.
    points_mm : Array
        (p, 2), in mm.
    modes : list[int]
        Counted from 0.
    """
    depth = np.full(len(points_mm), INSIDE_MM)
    for bore in solution.drum.bores:
        over = np.hypot(points_mm[:, 0] - bore.x_mm, points_mm[:, 1] - bore.y_mm) <= 0.55 * bore.diameter_mm
        depth[over] = np.maximum(depth[over], bore.depth_mm + INSIDE_MM)
    return _strain_at(solution, points_mm, depth, modes)


def inside_strain(solution: Solution, points_mm: Array, z_mm: float, modes: list[int]) -> Array:
    """The same of a face that looks up at this height, the bottom's inside, just under it.

    Parameters
    ----------
    solution : Solution
        The solved drum.
    points_mm : Array
        (p, 2), in mm, over that face.
    z_mm : float
        The face's height over the top's underside, in mm.
    modes : list[int]
        Counted from 0.
    """
    return _strain_at(solution, points_mm, np.full(len(points_mm), z_mm - INSIDE_MM), modes)


def _strain_at(solution: Solution, points_mm: Array, heights_mm: Array, modes: list[int]) -> Array:
    space = solution.space
    found = in_mesh(space.mesh, 1e-3 * np.column_stack([points_mm, heights_mm]))
    field = ng.GridFunction(space.field)
    slope = ng.Grad(field)
    strain = np.empty((len(points_mm), len(modes), 2))
    for column, mode in enumerate(modes):
        field.vec.FV().NumPy()[:] = solution.shapes[mode]
        for way in (0, 1):
            strain[:, column, way] = slope[way, way](found).ravel()
    return strain
