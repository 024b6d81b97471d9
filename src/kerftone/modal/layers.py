"""What a frame does on a root face, written for a tongue meshed otherwise than the drum was.

A drum is solved with its top in one layer of prisms, but a tongue that is to be bored needs two. What the frame
does on a root face in one layer is a polynomial in each cell, so the two halves of that cell can hold it exactly:
nothing is lost, only the numbers are others. The matrix that turns the ones into the others depends on the marks
along the root line alone. And a tongue that is only compared with itself does with order 2 where the drum has a
higher one: then what is of higher order in the frame's motion is left out. Lengths in mm. Held by
tests/modal/test_layers.py.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import ngsolve as ng
import numpy as np

from kerftone.modal.result import Array
from kerftone.modal.solid import LOWER_LAYER, MM, Cells
from kerftone.modal.space import Parts, Space
from kerftone.modal.tongue import Root, root_unknowns

DEEP_MM = 1.0
"""Any depth does: only the face is looked at."""


def in_two_layers(root: Root, *, thickness_mm: float, order: int) -> Root:
    """The same motions of a root face, in the unknowns of a top of two layers.

    Parameters
    ----------
    root : Root
        The motions on a face of one layer.
    thickness_mm : float
        Of the top, in mm.
    order : int
        Of the elements.
    """
    turn = _turn(tuple(np.round(root.marks_mm - root.marks_mm[0], 9)), thickness_mm, order)
    fields = root.motions.reshape(len(root.motions), 3, -1) @ turn.T
    return Root(marks_mm=root.marks_mm, motions=fields.reshape(len(fields), -1))


def in_order_two(root: Root, *, layers: int, order: int) -> Root:
    """The same motions as far as order 2 holds them; the face is meshed in so many layers, of this order.

    Parameters
    ----------
    root : Root
        The motions on the face.
    layers : int
        Of elements through the thickness.
    order : int
        Of the elements.
    """
    marks = len(root.marks_mm)
    corners, cells = marks * (layers + 1), (marks - 1) * layers
    edges = (marks - 1) * (layers + 1) + marks * layers
    # Of each edge's and each cell's functions, lowest first, order 2 has the first alone.
    of_edges = corners + (order - 1) * np.arange(edges)
    of_cells = corners + (order - 1) * edges + (order - 1) ** 2 * np.arange(cells)
    kept = np.concatenate([np.arange(corners), of_edges, of_cells])
    fields = root.motions.reshape(len(root.motions), 3, -1)[:, :, kept]
    return Root(marks_mm=root.marks_mm, motions=fields.reshape(len(fields), -1))


@lru_cache
def _turn(marks_mm: tuple[float, ...], thickness_mm: float, order: int) -> Array:
    """The matrix from a face's unknowns in one layer to those in two; many a drum's tongues share one."""
    one, two = (
        _functions(np.array(marks_mm), levels, thickness_mm, order) for levels in ((), (LOWER_LAYER,))
    )
    return np.asarray(np.linalg.lstsq(two, one, rcond=None)[0])


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
