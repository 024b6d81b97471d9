"""The drum's whole surface and how it moves in a mode: for pictures in three dimensions.

The faces of the solver's own prisms and bricks that have wood on one side alone, parted into small triangles that
look outwards, and the displacement at their corners. Lengths in mm.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kerftone.modal.result import Array
from kerftone.modal.solve import Solution
from kerftone.modal.surface import Motions
from kerftone.modal.view import parted

STEP_MM = 22.0
"""Triangles no longer than this follow a tongue's bend; own judgement."""
INSIDE = 1e-5
"""Points are read this share of the way to the middle of their own piece of wood, so that they are found in it."""
PARTS = ("top", "walls", "bottom")

Indices = NDArray[np.integer]


@dataclass(frozen=True, kw_only=True)
class Skin:
    """points_mm (p, 3); triangles (t, 3), counter-clockwise from outside; part (t,): an index into PARTS.

    moved (n, p, 3): the displacement in each of n modes, kg^-1/2.
    """

    points_mm: Array
    triangles: Indices
    part: Indices
    moved: Array


def skin_of(solution: Solution, modes: list[int]) -> Skin:
    """The surface of this drum, and its motion in these modes (numbers from 0). Held by tests/modal/test_skin.py."""
    points, inside, triangles, part = _faces_parted(solution)
    motions = Motions(solution=solution, shapes=solution.shapes[modes], squares=solution.values[modes])
    return Skin(points_mm=points, triangles=triangles, part=part, moved=motions.at(inside))


def _outer_faces(solution: Solution) -> list[tuple[NDArray[np.integer], Array, int]]:
    """Of each face with wood on one side alone: its corners' numbers, the middle of its wood, its part."""
    space = solution.space
    mesh, corners = space.mesh, 1e3 * space.corners_m
    owners: dict[tuple[int, ...], list[tuple[Array, int]]] = defaultdict(list)
    _, faces = space.sides
    for cell in mesh.Elements():
        middle = corners[[vertex.nr for vertex in cell.vertices]].mean(axis=0)
        part = _part(str(cell.mat))
        for face in cell.faces:
            owners[tuple(sorted(faces[face.nr]))].append((middle, part))
    return [(np.array(face), *theirs[0]) for face, theirs in sorted(owners.items()) if len(theirs) == 1]


def _part(material: str) -> int:
    if material.startswith("wall"):
        return PARTS.index("walls")
    return PARTS.index("bottom" if material == "bottom" else "top")


def _faces_parted(solution: Solution) -> tuple[Array, Array, Indices, Indices]:
    """Points, the same a little way inside, triangles and their parts; points in one place are one."""
    corners = 1e3 * solution.space.corners_m
    points: list[Array] = []
    inside: list[Array] = []
    triangles: list[Indices] = []
    parts: list[Indices] = []
    count = 0
    for numbers, middle, part in _outer_faces(solution):
        for trio in _trios(corners[numbers], middle):
            longest = max(math.dist(trio[k], trio[k - 1]) for k in range(3))
            weights, pieces = parted(max(1, math.ceil(longest / STEP_MM)))
            found = weights @ trio
            points.append(found)
            inside.append(found + INSIDE * (middle - found))
            triangles.append(np.asarray(pieces, dtype=np.intp) + count)
            parts.append(np.full(len(pieces), part))
            count += len(found)
    whole = np.concatenate(points)
    _, first, number = np.unique(np.round(whole, 3), axis=0, return_index=True, return_inverse=True)
    return (
        whole[first],
        np.concatenate(inside)[first],
        number[np.concatenate(triangles)],
        np.concatenate(parts),
    )


def _trios(face: Array, middle: Array) -> list[Array]:
    """A flat face of three or four corners as triangles that are counter-clockwise seen from outside its wood."""
    centre = face.mean(axis=0)
    normal = np.cross(face[1] - face[0], face[2] - face[0])
    if normal @ (centre - middle) < 0.0:
        normal = -normal
    normal /= np.linalg.norm(normal)
    along = face[0] - centre
    across = np.cross(normal, along)
    turned = np.arctan2((face - centre) @ across, (face - centre) @ along)
    ring = face[np.argsort(turned)]
    return [ring[[0, k, k + 1]] for k in range(1, len(ring) - 1)]
