"""A root face meshed in one layer, written as if it were meshed in two.

A drum is solved with its top in one layer of prisms, but a tongue that is to be bored needs two. What the frame
does on a root face in one layer is a polynomial in each cell, so the two halves of that cell can hold it exactly:
nothing is lost, only the numbers are others. The matrix that turns the ones into the others depends on the marks
along the root line alone. Lengths in mm. Held by tests/modal/test_layers.py.
"""

from __future__ import annotations

from itertools import pairwise

import ngsolve as ng
import numpy as np

from kerftone.modal.result import Array
from kerftone.modal.solid import LOWER_LAYER, MM, Cells
from kerftone.modal.space import Parts, Space
from kerftone.modal.tongue import Root, root_unknowns

DEEP_MM = 1.0


def in_two_layers(root: Root, *, thickness_mm: float, order: int) -> Root:
    """The same motions of a root face, in the unknowns of a top of two layers."""
    one, two = (_functions(root.marks_mm, levels, thickness_mm, order) for levels in ((), (LOWER_LAYER,)))
    turn = np.linalg.lstsq(two, one, rcond=None)[0]
    fields = root.motions.reshape(len(root.motions), 3, -1) @ turn.T
    return Root(marks_mm=root.marks_mm, motions=fields.reshape(len(fields), -1))


def _functions(marks_mm: Array, levels: tuple[float, ...], thickness_mm: float, order: int) -> Array:
    """Every function of the face, parted at these shares of its height, at one set of points (points, unknowns)."""
    heights = [0.0, *(share * thickness_mm for share in levels), thickness_mm]
    cells = Cells()
    for front, back in pairwise(marks_mm):
        corners = [(0.0, front), (DEEP_MM, front), (DEEP_MM, back), (0.0, back)]
        for low, high in pairwise(heights):
            cells.raise_column("wood", [(x, y, low) for x, y in corners], [(x, y, high) for x, y in corners])
    space = Space(ng.Mesh(cells.mesh()), Parts({"wood": np.eye(6)}, {"wood": 1.0}), order=order, held=None)
    shares = 0.5 + 0.5 * np.polynomial.legendre.leggauss(order + 1)[0]
    y = np.concatenate([front + shares * (back - front) for front, back in pairwise(marks_mm)])
    parted = [0.0, LOWER_LAYER * thickness_mm, thickness_mm]
    z = np.concatenate([low + shares * (high - low) for low, high in pairwise(parted)])
    ys, zs = (grid.ravel() for grid in np.meshgrid(y, z))
    points = space.mesh(np.full(ys.shape, 0.0), ys * MM, zs * MM)
    unknowns = root_unknowns(space, 0.0, (marks_mm[0] * MM, marks_mm[-1] * MM))
    found = np.empty((len(ys), len(unknowns)))
    function = ng.GridFunction(space.scalar)
    for column, unknown in enumerate(unknowns):
        function.vec[:] = 0.0
        function.vec[int(unknown)] = 1.0
        found[:, column] = function(points)[:, 0]
    return found
