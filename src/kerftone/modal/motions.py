"""What a frame can do: the motions in which it is described, taken from one full solve of the drum.

They are the drum's own modes and the frame's answers to a few loads on each tongue (attachment modes), so that the
frame can also follow tongues that were not in that solve. SI. Held by tests/modal/test_frame.py.
"""

from __future__ import annotations

import ngsolve as ng
import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import layout
from kerftone.modal.plan import tongue_region
from kerftone.modal.result import Array
from kerftone.modal.sensitivity import length_of
from kerftone.modal.solve import Solution
from kerftone.modal.space import Space


def frame_motions(solution: Solution) -> Array:
    """What a frame can do (motions, unknowns): the drum's modes, its answers to loads at each tongue's root, and
    where it stands free its rigid motions; each of unit mass."""
    answers = solution.inverse(_tongue_loads(solution.space, solution.drum))
    motions = np.concatenate([solution.shapes, answers])
    if solution.shift:
        motions = np.concatenate([motions, solution.space.rigid()])
    return np.asarray(motions / np.sqrt(np.einsum("ij,ij->i", motions, solution.mass(motions)))[:, None])


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
