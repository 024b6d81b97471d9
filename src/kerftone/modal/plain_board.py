"""The tones of a plain rectangular board: what a tap on it should sound, before any slot is sawn.

The board lies flat: its length along x, its width along y, its thickness along z, all in mm. It is meshed
with bricks and solved at one high order; nothing in a plain board is sharp, so a few bricks do.

Four ways to hold it: "free", as a board hung at its nodes; "clamped end", the end face at x = 0 held still;
"lower edges", the four edges of the underside kept from rising, and "sides", the four side faces kept from
rising and from sliding along themselves, which is what plate theory calls simply supported.

A line that holds has no width, and a solid gives way at it more and more as the mesh gets finer: with
"lower edges" the answer belongs to the bricks used. On few and coarse ones it is near that of plates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, assert_never

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray

from kerftone.modal.eigen import Array, lanczos
from kerftone.modal.mechanics import Matrix, stiffness
from kerftone.modal.solid import Cells
from kerftone.modal.space import Inverse, Mass, Parts, Space
from kerftone.modal.threads import solver_threads
from kerftone.wood.elastic import Elastic

Support = Literal["free", "clamped end", "lower edges", "sides"]
Size = tuple[float, float, float]
Hold = tuple[int, NDArray[np.bool_]]
"""A direction, 0 to 2, and the points of the mesh that must not move that way."""

SPARE = 6
"""Modes found beyond those asked for, so that the last ones asked for are sound too."""


EDGE_BRICK = 0.8
"""Length of the outermost bricks in thicknesses: a twisted board's shear turns round within that."""
LONG_BRICK = 2.4
"""In thicknesses: see below."""
INNER_BRICKS = 8
"""No brick is longer than LONG_BRICK thicknesses, or, on a thin board, this part of its longest side."""


@dataclass(frozen=True, kw_only=True)
class Bricks:
    """How finely a board is cut: order of the elements, and equal bricks along, across and through.

    Without `parts` there is one brick through, with short ones along the sides and long ones within: at
    order 4 the first ten modes of a free board then lie within 0.15 cents of the truth.
    """

    order: int = 4
    parts: tuple[int, int, int] | None = None

    def cuts_mm(self, size_mm: Size) -> tuple[Array, Array, Array]:
        """Where a board of this size is cut along x, y and z."""
        if self.parts is not None:
            x, y, z = (
                np.linspace(0.0, side, count + 1) for side, count in zip(size_mm, self.parts, strict=True)
            )
            return x, y, z
        length, width, thickness = size_mm
        longest = max(LONG_BRICK * thickness, max(length, width) / INNER_BRICKS)
        edge = EDGE_BRICK * thickness
        return _graded(length, edge, longest), _graded(width, edge, longest), np.array([0.0, thickness])


def _graded(side: float, edge: float, longest: float) -> Array:
    """Two short bricks at the ends of a side and equal ones between; two halves when there is no room."""
    inner = side - 2.0 * edge
    if inner < edge:
        return np.linspace(0.0, side, 3)
    return np.array([0.0, *np.linspace(edge, side - edge, math.ceil(inner / longest) + 1), side])


def board_space(*, size_mm: Size, elastic: Elastic, axes: Matrix, bricks: Bricks | None = None) -> Space:
    """The displacements of a plain board that nothing holds, to assemble its stiffness and mass from.

    Parameters
    ----------
    size_mm : Size
        Length along the grain, width and thickness, in mm.
    elastic : Elastic
        Its constants, in GPa and kg/m³.
    axes : Matrix
        L, R and T as rows, from `flat_axes`.
    bricks : Bricks | None, optional
        How finely it is cut into elements; None for the usual.
    """
    cut = bricks or Bricks()
    mesh = ng.Mesh(_laid(*cut.cuts_mm(size_mm)).mesh())
    parts = Parts({"board": stiffness(elastic, axes)}, {"board": elastic.density_kg_m3})
    return Space(mesh, parts, order=cut.order, held=None)


def board_modes(
    *,
    size_mm: Size,
    elastic: Elastic,
    axes: Matrix,
    support: Support = "free",
    count: int = 10,
    bricks: Bricks | None = None,
) -> Array:
    """What tones a plain board has, lowest first, in Hz (count,).

    `size_mm`: length, width, thickness. `axes`: L, R and T as rows, from `flat_axes`. Motions that strain
    nothing are left out. Not tried on boards longer than 200 thicknesses.
    Held by tests/modal/test_plain_board.py against another program, published plates and beam theory.

    Parameters
    ----------
    size_mm : Size
        Length along the grain, width and thickness, in mm.
    elastic : Elastic
        Its constants, in GPa and kg/m³.
    axes : Matrix
        L, R and T as rows, from `flat_axes`.
    support : Support, optional
        How it is held.
    count : int, optional
        How many tones.
    bricks : Bricks | None, optional
        How finely it is cut into elements; None for the usual.
    """
    with solver_threads():
        space = board_space(size_mm=size_mm, elastic=elastic, axes=axes, bricks=bricks)
        free = _free(space, support)
        shift = _shift(size_mm, elastic)
        inverse = Inverse(space.stiffness(shift), _bits(free))
        mass = Mass(space.mass())
        rigid = _loose(space, free, mass)
        weighted = np.array([mass(move) for move in rigid]).reshape(rigid.shape)

        def solve(load: Array) -> Array:
            moved = inverse(load)
            return moved - (weighted @ moved) @ rigid

        start = np.random.default_rng(0).standard_normal(space.unknowns) * free
        values, _ = lanczos(solve, mass, start, count=count + SPARE)
    hz: Array = np.sqrt(np.maximum(values[:count] - shift, 0.0)) / (2.0 * math.pi)
    return hz


def _laid(xs: Array, ys: Array, zs: Array) -> Cells:
    """Bricks between these cuts."""
    cells = Cells()
    for x0, x1 in pairwise(xs):
        for y0, y1 in pairwise(ys):
            ring = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
            for z0, z1 in pairwise(zs):
                cells.raise_column("board", [(x, y, z0) for x, y in ring], [(x, y, z1) for x, y in ring])
    return cells


def _shift(size_mm: Size, elastic: Elastic) -> float:
    """About the square of the lowest bending's angular frequency: it makes K + shift M definite."""
    longest, thickness = max(size_mm[:2]) * 1e-3, size_mm[2] * 1e-3
    speed = math.sqrt(elastic.e_l_gpa * 1e9 / elastic.density_kg_m3)
    return (4.0 * speed * thickness / longest**2) ** 2


def _holds(points: Array, support: Support) -> list[Hold]:
    """Which points must not move which way."""
    low, high = points.min(axis=0), points.max(axis=0)
    near = 1e-9 * float((high - low).max())
    sides = [(axis, abs(points[:, axis] - end[axis]) < near) for axis in (0, 1) for end in (low, high)]
    if support == "free":
        return []
    if support == "clamped end":
        return [(way, sides[0][1]) for way in range(3)]
    if support == "lower edges":
        under = abs(points[:, 2] - low[2]) < near
        return [(2, side & under) for _, side in sides]
    if support == "sides":
        return [(way, side) for axis, side in sides for way in (1 - axis, 2)]
    assert_never(support)


def _free(space: Space, support: Support) -> Array:
    """1 where an unknown may move, 0 where it is held: what lies wholly among held points is held."""
    mesh = space.mesh
    points = np.array([vertex.point for vertex in mesh.vertices])
    holds = _holds(points, support)
    corners = [[vertex.nr] for vertex in mesh.vertices]
    for nodes in (mesh.edges, mesh.faces):
        corners += [[vertex.nr for vertex in node.vertices] for node in nodes]
    free = np.ones((3, space.scalar.ndof))
    for numbers, unknowns in zip(corners, space.nodes(), strict=False):
        for way, held in holds:
            if held[numbers].all():
                free[way, list(unknowns)] = 0.0
    return free.reshape(-1)


def _bits(free: Array) -> ng.BitArray:
    bits = ng.BitArray(len(free))
    bits.Clear()
    for number in np.flatnonzero(free):
        bits.Set(int(number))
    return bits


def _loose(space: Space, free: Array, mass: Mass) -> Array:
    """The slides and turns that this support does not hinder, orthonormal in the mass inner product."""
    rigid = np.array([move for move in space.rigid() if np.array_equal(move * free, move)])
    if not len(rigid):
        return np.zeros((0, space.unknowns))
    gram = rigid @ np.array([mass(move) for move in rigid]).T
    return np.linalg.solve(np.linalg.cholesky(gram), rigid)
