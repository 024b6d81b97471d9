"""The mechanics of one piece of wood: its stiffness along the drum's axes, and the weak form.

SI units. Strains are the six engineering components in the order xx, yy, zz, yz, xz, xy. Wood is
linear, elastic, orthotropic, straight-grained and without loss: losses belong to `sound/`.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Cut
from kerftone.wood.elastic import Elastic

Matrix = NDArray[np.floating[Any]]
PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))
"""The strains in the order LL, RR, TT, RT, LT, LR."""
GPA = 1e9
"""Pascals in a gigapascal."""


def flat_axes(cut: Cut, grain_angle_deg: float = 0.0) -> Matrix:
    """Where L, R and T of a board lying flat point, as rows of unit vectors in x, y, z."""
    turn = math.radians(grain_angle_deg)
    along = [math.cos(turn), math.sin(turn), 0.0]
    across = [-math.sin(turn), math.cos(turn), 0.0]
    through = [0.0, 0.0, 1.0]
    if cut == "flatsawn":
        return np.array([along, through, across])
    return np.array([along, across, through])


def wall_axes(along: int) -> Matrix:
    """L, R and T of a wall that runs along x (0) or y (1): T up, R through the wall."""
    axes = np.zeros((3, 3))
    axes[0, along] = axes[1, 1 - along] = axes[2, 2] = 1.0
    return axes


def stiffness(elastic: Elastic, axes: Matrix) -> Matrix:
    """Stress for strain in x, y, z (Pa), of a wood whose L, R, T are the rows of `axes`."""
    turn = np.empty((6, 6))
    for column, (i, j) in enumerate(PAIRS):
        strain = np.zeros((3, 3))
        strain[i, j] += 0.5
        strain[j, i] += 0.5
        turned = axes @ strain @ axes.T
        turn[:, column] = [turned[a, b] * (1.0 if a == b else 2.0) for a, b in PAIRS]
    return turn.T @ elastic.stiffness() @ turn * GPA


def strain(u: Any) -> Any:
    """The six engineering strains of a displacement."""
    gradient = ng.Grad(u)
    return ng.CF(tuple(gradient[i, j] if i == j else gradient[i, j] + gradient[j, i] for i, j in PAIRS))


def by_material(mesh: ng.Mesh, stiffnesses: dict[str, Matrix]) -> Any:
    """A coefficient function that takes each material's own 6 by 6 matrix."""
    used = set(mesh.GetMaterials())
    return mesh.MaterialCF({name: _constant(m.tobytes()) for name, m in stiffnesses.items() if name in used})


@lru_cache(maxsize=64)
def _constant(matrix: bytes) -> Any:
    """A 6 by 6 matrix as a coefficient function; making one costs more than evaluating it."""
    return ng.CF(tuple(np.frombuffer(matrix)), dims=(6, 6))
