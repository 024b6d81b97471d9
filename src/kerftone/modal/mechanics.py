"""The mechanics of one piece of wood: its stiffness along the drum's axes, and the weak form.

SI units. Strains are the six engineering components in the order xx, yy, zz, yz, xz, xy. Wood is
linear, elastic, orthotropic, straight-grained and without loss: losses belong to `sound/`. A board of plies is one
material whose stiffness changes with height (`wood/laminate.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Bottom, Top
from kerftone.drum.uneven import thickness_mm
from kerftone.wood.axes import PAIRS as PAIRS
from kerftone.wood.axes import flat_axes as flat_axes
from kerftone.wood.axes import turned
from kerftone.wood.elastic import Elastic
from kerftone.wood.laminate import DEGREE, Layer, bending_part, graded, layers, polynomials

Matrix = NDArray[np.floating[Any]]
GPA = 1e9
"""Pascals in a gigapascal."""


def wall_axes(along: int) -> Matrix:
    """L, R and T of a wall that runs along x (0) or y (1): T up, R through the wall."""
    axes = np.zeros((3, 3))
    axes[0, along] = axes[1, 1 - along] = axes[2, 2] = 1.0
    return axes


def stiffness(elastic: Elastic, axes: Matrix) -> Matrix:
    """Stress for strain in x, y, z (Pa), of a wood whose L, R, T are the rows of `axes`."""
    return turned(elastic, axes) * GPA


@dataclass(frozen=True)
class Graded:
    """The stiffness of a board of plies, which changes through its thickness, from z = low_m to high_m.

    layers: the plies, bottom first, GPa, at their shares of the thickness. powers (degree + 1, 6, 6): the same as a
    polynomial, Pa, in x from -1 at low_m to 1 at high_m, to integrate with: see `laminate.polynomials`.
    Of an uneven top `factor` is how many times the stated thickness it is, as a function of place. Its mesh is of
    that, so `bends`, the part of the polynomial that bending meets, goes with its third power, the rest with
    the first.
    """

    layers: tuple[Layer, ...]
    powers: Matrix
    low_m: float
    high_m: float
    bends: Matrix | None = None
    factor: Any = 1.0

    @property
    def degree(self) -> int:
        """Of the polynomial."""
        return len(self.powers) - 1

    @property
    def height(self) -> Any:
        """x as a function of place."""
        return (2.0 * ng.z - (self.low_m + self.high_m)) / (self.high_m - self.low_m)

    def entry(self, at: tuple[int, int]) -> Any:
        """One of the 36 numbers as a function of place, to integrate with."""
        whole = horner(self.powers[(slice(None), *at)], self.height)
        if self.bends is None:
            return whole
        bends = horner(self.bends[(slice(None), *at)], self.height)
        return self.factor * (whole - bends) + self.factor**3 * bends

    def at(self, share: float) -> Matrix:
        """The stiffness (Pa) of the ply at this share of the thickness."""
        return GPA * next((one for one in self.layers if share <= one.high), self.layers[-1]).stiffness


Stiffness = Matrix | Graded
"""Of one material: the same everywhere, or a board of plies."""


def board_stiffness(board: Top | Bottom, *, low_mm: float, grain_angle_deg: float = 0.0) -> Stiffness:
    """The stiffness of a top or a bottom that lies flat, its lower face at z = low_mm.

    Parameters
    ----------
    board : Top | Bottom
        Of solid wood or of plies.
    low_mm : float
        Where its lower face is, in mm.
    grain_angle_deg : float, optional
        Of its grain to the drum's length, from above, counter-clockwise.
    """
    uneven = isinstance(board, Top) and bool(board.thickness_at_mm)
    if not board.plies and not uneven:
        return stiffness(board.elastic, flat_axes(board.cut, grain_angle_deg, _dive(board)))
    if board.plies:
        plies, degree = graded(layers(board.plies, board.cut, grain_angle_deg)), DEGREE
    else:
        even = turned(board.elastic, flat_axes(board.cut, grain_angle_deg, _dive(board)))
        plies, degree = (Layer(0.0, 1.0, even),), 0
    place = (1e-3 * low_mm, 1e-3 * (low_mm + board.thickness_mm))
    powers = GPA * polynomials(plies, degree)
    if not uneven:
        return Graded(plies, powers, *place)
    flat = [replace(ply, stiffness=bending_part(ply.stiffness)) for ply in plies]
    return Graded(plies, powers, *place, GPA * polynomials(flat, degree), thickness_factor(board))


def _dive(board: Top | Bottom) -> float:
    return board.grain_dive_deg if isinstance(board, Top) else 0.0


def thickness_factor(board: Top | Bottom) -> Any:
    """How many times its stated thickness a board is, as a function of place; 1 where it was not measured."""
    if not isinstance(board, Top) or not board.thickness_at_mm:
        return 1.0
    along, across = 1e3 * ng.x / board.length_mm, 1e3 * ng.y / board.width_mm
    return thickness_mm(board.thickness_at_mm, along, across) / board.thickness_mm


def horner(powers: Matrix, x: Any) -> Any:
    """A polynomial of a coefficient function."""
    value = ng.CF(float(powers[-1]))
    for power in powers[-2::-1]:
        value = value * x + float(power)
    return value


def strain(u: Any) -> Any:
    """The six engineering strains of a displacement."""
    gradient = ng.Grad(u)
    return ng.CF(tuple(gradient[i, j] if i == j else gradient[i, j] + gradient[j, i] for i, j in PAIRS))


def by_material(mesh: ng.Mesh, stiffnesses: Mapping[str, Stiffness]) -> Any:
    """A coefficient function that takes each material's own 6 by 6 matrix; of plies, the one at that height."""
    used = set(mesh.GetMaterials())
    return mesh.MaterialCF({name: _local(one) for name, one in stiffnesses.items() if name in used})


def _local(one: Stiffness) -> Any:
    if not isinstance(one, Graded):
        return _constant(one.tobytes())
    *others, found = [(layer.high, _constant((GPA * layer.stiffness).tobytes())) for layer in one.layers]
    local = found[1]
    for high, constant in reversed(others):
        local = ng.IfPos(2.0 * high - 1.0 - one.height, constant, local)
    return local


@lru_cache(maxsize=64)
def _constant(matrix: bytes) -> Any:
    """A 6 by 6 matrix as a coefficient function; making one costs more than evaluating it."""
    return ng.CF(tuple(np.frombuffer(matrix)), dims=(6, 6))
