"""A patchwork of triangles made into one mesh without seams.

A vibration model may hand over each of its elements cut into triangles of their own: points that two
elements share come twice, and where one element is cut finer than its neighbour, corners hang in the middle
of the neighbour's sides. Contours would stop at every such seam. Here points closer than a micrometre or so
become one, and a triangle with corners hanging on its sides is cut into a fan that uses them.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

Array = NDArray[np.floating[Any]]
Indices = NDArray[np.integer[Any]]

NEAR_MM = 1e-3
"""Points nearer than this are one: rounding of the mesh."""


def seamless(points: Array, triangles: Indices, values: Array) -> tuple[Array, Indices, Array]:
    """The same surface as one mesh: points (p, 2), triangles (t, 3), values (p,).

    Values at points that become one are averaged; in the middle of a fan the value is the mean of its
    triangle's corners. Held by tests/draw/test_seams.py.

    Parameters
    ----------
    points : Array
        The mesh's points, (p, 2), in mm.
    triangles : Indices
        Numbers of points, (t, 3).
    values : Array
        One value a point, (p,).
    """
    points, triangles, values = _welded(points, triangles, values)
    hanging = _hanging(points, triangles)
    if not hanging:
        return points, triangles, values
    split = sorted({number for number, _ in hanging})
    corners = triangles[split]
    fans: list[tuple[int, int, int]] = []
    for hub, (number, trio) in enumerate(zip(split, corners.tolist(), strict=True), start=len(points)):
        ring = [n for side in range(3) for n in (trio[side], *hanging.get((number, side), []))]
        fans += [(hub, a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    whole = np.delete(triangles, split, axis=0)
    return (
        np.vstack([points, points[corners].mean(axis=1)]),
        np.vstack([whole, fans]),
        np.concatenate([values, values[corners].mean(axis=1)]),
    )


def _welded(points: Array, triangles: Indices, values: Array) -> tuple[Array, Indices, Array]:
    """Points that lie on each other made one."""
    pairs = cKDTree(points).query_pairs(NEAR_MM, output_type="ndarray")
    joins = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points), len(points)))
    count, label = connected_components(joins, directed=False)
    size = np.bincount(label, minlength=count)

    def mean(column: Array) -> Array:
        return np.asarray(np.bincount(label, weights=column, minlength=count) / size)

    trios = label[triangles].astype(np.int64)
    flat = (trios == np.roll(trios, 1, axis=1)).any(axis=1)
    return np.stack([mean(points[:, 0]), mean(points[:, 1])], axis=1), trios[~flat], mean(values)


def _hanging(points: Array, triangles: Indices) -> dict[tuple[int, int], list[int]]:
    """Which points lie inside which side of which triangle, in order along the side.

    Only sides without a neighbour on the other side can have any, and only ends of such sides can hang.
    """
    sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2)
    low, high = np.sort(sides, axis=1).T
    _, where, met = np.unique(low * len(points) + high, return_inverse=True, return_counts=True)
    loose = np.flatnonzero(met[where] == 1)
    ends = np.unique(sides[loose])
    tree = cKDTree(points[ends])
    found: dict[tuple[int, int], list[int]] = {}
    for side in loose.tolist():
        a, b = sides[side].tolist()
        along = points[b] - points[a]
        length = float(np.hypot(*along))
        near = ends[tree.query_ball_point(0.5 * (points[a] + points[b]), 0.5 * length - NEAR_MM)]
        off = points[near] - points[a]
        on = np.abs(along[0] * off[:, 1] - along[1] * off[:, 0]) < NEAR_MM * length
        if np.any(on):
            order = np.argsort(off[on] @ along)
            found[side // 3, side % 3] = near[on][order].tolist()
    return found
