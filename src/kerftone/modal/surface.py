"""How the wood moves at given places, in each mode: what the air around it is pushed by.

Places in mm in the drum's frame, each inside the wood or hardly under its surface. A drum that stands free moves as a
whole too: its six rigid motions come with the modes, of unit mass like them.
"""

from __future__ import annotations

from dataclasses import dataclass

import ngsolve as ng
import numpy as np

from kerftone.modal.in_mesh import in_mesh
from kerftone.modal.result import Array
from kerftone.modal.solve import Solution


@dataclass(frozen=True)
class Motions:
    """What the wood can do: shapes (n, unknowns) of unit mass, their squared angular frequencies (n,), nil for rigid
    motions. The first are the solution's own modes."""

    solution: Solution
    shapes: Array
    squares: Array

    def at(self, points_mm: Array) -> Array:
        """The displacement at these points (p, 3) in every motion (n, p, 3), kg^-1/2."""
        space = self.solution.space
        found = in_mesh(space.mesh, 1e-3 * np.asarray(points_mm))
        field = ng.GridFunction(space.field)
        moved = np.empty((len(self.shapes), len(found), 3))
        for motion, shape in zip(moved, self.shapes, strict=True):
            field.vec.FV().NumPy()[:] = shape
            motion[:] = field(found).reshape(len(found), 3)
        return moved

    @property
    def strike(self) -> Array:
        """How each tongue's strike point moves in every motion (t, n)."""
        return np.asarray(self.solution.strike @ self.shapes.T)

    @property
    def sweep(self) -> Array:
        """How much air each tongue's upper face pushes in every motion (t, n)."""
        return np.asarray(self.solution.sweep @ self.shapes.T)


def motions_of(solution: Solution) -> Motions:
    """The modes of a solved drum, then its rigid motions. Held by tests/modal/test_surface.py."""
    rigid = rigid_motions(solution)
    return Motions(
        solution=solution,
        shapes=np.concatenate([solution.shapes, rigid]),
        squares=np.concatenate([solution.values, np.zeros(len(rigid))]),
    )


def rigid_motions(solution: Solution) -> Array:
    """The slides and turns of a drum that stands free, of unit mass (6, unknowns); none (0, unknowns) if it is
    held."""
    if not solution.shift:
        return np.zeros((0, solution.space.unknowns))
    moves = solution.space.rigid()
    gram = moves @ solution.mass(moves).T
    return np.asarray(np.linalg.solve(np.linalg.cholesky(gram), moves))
