"""The vertical motion of the upper face, sampled finely enough to draw.

Each of the plan's triangles is parted into smaller ones and the modes are read at their corners: elements
of order 3 carry more than their own corners show. Only the top inside the walls is drawn; over the walls it
hardly moves.
"""

from __future__ import annotations

import math

import ngsolve as ng
import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.plan import Plan
from kerftone.modal.result import Array, TopView
from kerftone.modal.space import Space

STEP_MM = 10.0
"""As fine as a picture of a mode needs; own judgement."""
SHRINK = 1e-6
"""Points are read this share inside their triangle and under the face: each is then found in its element."""


def top_view(space: Space, plan: Plan, drum: Drum, shapes: Array) -> TopView:
    """The upper face's vertical motion in each of these modes (n, unknowns).

    Parameters
    ----------
    space : Space
        The mesh and its unknowns.
    plan : Plan
        The top cut into triangles.
    drum : Drum
        The drum, in mm.
    shapes : Array
        The modes, (n, unknowns).
    """
    points: list[Array] = []
    triangles: list[Array] = []
    count = 0
    for corners in plan.points_mm[plan.triangles]:
        longest = max(math.dist(corners[k], corners[k - 1]) for k in range(3))
        weights, pieces = parted(max(1, math.ceil(longest / STEP_MM)))
        triangles.append(pieces + count)
        points.append((weights * (1 - SHRINK) + SHRINK / 3) @ corners)
        count += len(weights)
    places = np.concatenate(points)
    height = drum.top.thickness_mm * (1 - SHRINK)
    found = space.mesh(places[:, 0] * 1e-3, places[:, 1] * 1e-3, np.full(len(places), height * 1e-3))
    field = ng.GridFunction(space.field)
    lift = np.empty((len(places), len(shapes)))
    for column, shape in zip(lift.T, shapes, strict=True):
        field.vec.FV().NumPy()[:] = shape
        column[:] = field[2](found).ravel()
    return TopView(points_mm=places, triangles=np.concatenate(triangles), lift=lift)


def parted(parts: int) -> tuple[Array, Array]:
    """A triangle parted into parts² equal ones: barycentric corners (p, 3) and triples of their numbers."""
    rows = [(i, j) for i in range(parts + 1) for j in range(parts + 1 - i)]
    number = {place: index for index, place in enumerate(rows)}
    weights = np.array([(parts - i - j, i, j) for i, j in rows]) / parts
    pieces = []
    for i, j in rows:
        if i + j < parts:
            pieces.append((number[i, j], number[i + 1, j], number[i, j + 1]))
        if i + j < parts - 1:
            pieces.append((number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]))
    return weights, np.array(pieces)
