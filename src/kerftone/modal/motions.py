"""What the frame of a drum can do, and the stiffness and mass of its parts for these motions.

One full solve gives them: the drum's modes as far as the frame takes part in them, and what the frame does under a
handful of loads on each tongue's root. SI inside. `frame.py` and `search.py` make their reduced matrices of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import ngsolve as ng
import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.plan_lines import layout
from kerftone.modal.plan import tongue_region
from kerftone.modal.result import Array
from kerftone.modal.sensitivity import length_of
from kerftone.modal.solve import Solution
from kerftone.modal.space import Mass, Space
from kerftone.modal.threads import together

TONGUE_PARTS = "tongue.*"
OTHER_PARTS = {"box": "wall.*", "bottom": "bottom", "tongues": TONGUE_PARTS}
"""What is not the frame's share of the top."""


@dataclass(frozen=True)
class Motions:
    """What a frame can do (motions, unknowns), each of unit mass, and the whole drum's stiffness and mass for it."""

    motions: Array
    stiffness: Array
    mass: Array


def frame_motions(solution: Solution) -> Motions:
    """The drum's modes, its answers to loads at each tongue's root, and where it stands free its rigid motions.

    What the shifted stiffness makes of each is known already, so that the large matrix is not needed again.
    """
    loads = _tongue_loads(solution.space, solution.drum)
    answers = solution.inverse(loads)
    motions, forces = np.concatenate([solution.shapes, answers]), np.concatenate([solution.forces, loads])
    if solution.shift:
        motions = np.concatenate([motions, solution.space.rigid()])
    inertia = solution.mass(motions)
    size = 1.0 / np.sqrt(np.einsum("ij,ij->i", motions, inertia))
    mass = size[:, None] * (motions @ inertia.T) * size
    known = np.zeros_like(mass)
    known[:, : len(forces)] = size[:, None] * (motions @ forces.T) * size[: len(forces)]
    known[:, len(forces) :] = solution.shift * mass[:, len(forces) :]  # rigid motions bend nothing
    return Motions(motions=size[:, None] * motions, stiffness=known - solution.shift * mass, mass=mass)


def reduced_part(space: Space, where: str, motions: Array) -> tuple[Array, Array]:
    """Stiffness and mass of some materials for these motions.

    Parameters
    ----------
    space : Space
        The unknowns of the mesh.
    where : str
        A pattern of material names, as NGSolve reads it.
    motions : Array
        One a row, (n, unknowns).
    """
    return motions @ space.blocks(where=where).times(motions).T, motions @ Mass(space.mass(where))(motions).T


def _tongue_loads(space: Space, drum: Drum) -> Array:
    """Loads on each tongue that pull at its root: lifting it, twisting it and bending it (loads, unknowns).

    With the drum's own modes three a tongue are enough: eleven move no pitch by more than 0.02 cents further, for
    bores of 8 mm and lengths changed by an eighth.
    """
    lines = layout(drum)
    v = space.field.TestFunction()
    rows = []
    for number, tongue in enumerate(drum.tongues):
        assert tongue.side is not None and tongue.row is not None
        length = length_of(drum, number) * 1e-3
        way = 1.0 if tongue.side == "left" else -1.0
        along = way * (ng.x - lines.root_mm(tongue.side) * 1e-3) / length
        across = (ng.y - lines.centre_mm(tongue.row) * 1e-3) / length
        up = ng.z / length
        near_root = (1 - along) ** 6
        kinds = [v[2], v[2] * across * near_root, v[0] * up * near_root]
        where = space.mesh.Materials(tongue_region(number))
        for kind in kinds:
            load = ng.LinearForm(space.field)
            load += space.rho * kind * ng.dx(definedon=where)
            rows.append(np.array(load.Assemble().vec.FV().NumPy()))
    return np.array(rows)


def by_part(solution: Solution, whole: Motions) -> tuple[dict[str, Array], dict[str, Array]]:
    """The frame's stiffness and mass by the names of Board: the top's share is what the others leave."""
    others = [part for part in OTHER_PARTS if part != "bottom" or solution.drum.bottom is not None]
    squares = together(
        [partial(reduced_part, solution.space, OTHER_PARTS[part], whole.motions) for part in others]
    )
    found: tuple[dict[str, Array], dict[str, Array]] = {}, {}
    for square, parts, every in zip(
        (whole.stiffness, whole.mass), found, zip(*squares, strict=True), strict=True
    ):
        parts["top"] = square - sum(every)
        parts |= dict(zip(others[:-1], every[:-1], strict=True))
    return found
