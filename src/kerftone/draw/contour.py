"""Where a quantity given at the corners of triangles lies above a level, as closed edges.

Marching triangles: the part of each triangle above the level is a small polygon; edges that two
neighbours share cancel, and what is left joins into rings. Straight across each triangle, so the rings are
as fine as the mesh. Rings that touch at a point stay separate or join, whichever comes first; filled by the
odd-even rule both look the same.

Why our own: the modes are given on the solver's triangles. contourpy, the common library, takes grids of
quadrilaterals only, and matplotlib draws contours of triangles into a figure and does not hand them out. The map for
boring is a grid, and uses this too, so that there is one way. Matplotlib, which brought contourpy, is gone: it
drew one picture, which is our own now (`hearing.py`), and lent a font, which lies in the package (`fonts.py`).
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
Indices = NDArray[np.integer[Any]]
Point = tuple[float, float]


def rings_above(points: Array, triangles: Indices, values: Array, level: float) -> list[tuple[Point, ...]]:
    """The edges of the area where values are at or above level.

    points (p, 2), triangles (t, 3) of point numbers, values (p,). Each ring without its first point repeated.

    Parameters
    ----------
    points : Array
        The mesh's points, (p, 2), in mm.
    triangles : Indices
        Numbers of points, (t, 3).
    values : Array
        One value a point, (p,).
    level : float
        In the unit of the values.
    """
    along, across = _edges(points, triangles, values, level)
    edges = np.vstack([along, across])
    kept = edges[~_has_reverse(edges)]
    rings = [chain[:-1] for chain in _chains(kept) if chain[0] == chain[-1]]
    return [_places(ring, points, values, level) for ring in rings if len(ring) > 2]


def level_lines(points: Array, triangles: Indices, values: Array, level: float) -> list[tuple[Point, ...]]:
    """The lines on which values equal level; a closed one repeats its first point at the end.

    Parameters
    ----------
    points : Array
        The mesh's points, (p, 2), in mm.
    triangles : Indices
        Numbers of points, (t, 3).
    values : Array
        One value a point, (p,).
    level : float
        In the unit of the values.
    """
    _, across = _edges(points, triangles, values, level)
    return [_places(chain, points, values, level) for chain in _chains(across)]


def _edges(points: Array, triangles: Indices, values: Array, level: float) -> tuple[Indices, Indices]:
    """The directed edges round the part of each triangle above the level, that part on their left.

    (n, 2) node numbers each: along the triangles' own sides, and across them on the level. A node is a
    corner i, or p (1 + i) + j for the crossing between corners i < j of p.
    """
    count = len(points)
    above = np.asarray(values) >= level
    corners = np.asarray(points)[triangles]
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    clockwise = a[:, 0] * b[:, 1] < a[:, 1] * b[:, 0]
    trios = np.where(clockwise[:, None], np.asarray(triangles)[:, ::-1], triangles).astype(np.int64)
    along, leaves, enters = [], np.zeros(len(trios), np.int64), np.zeros(len(trios), np.int64)
    for side in range(3):
        i, j = trios[:, side], trios[:, (side + 1) % 3]
        crossing = count * (1 + np.minimum(i, j)) + np.maximum(i, j)
        both, out, back = above[i] & above[j], above[i] & ~above[j], ~above[i] & above[j]
        along += [
            np.stack([i, j], axis=1)[both],
            np.stack([i, crossing], axis=1)[out],
            np.stack([crossing, j], axis=1)[back],
        ]
        leaves[out], enters[back] = crossing[out], crossing[back]
    cut = leaves > 0
    return np.vstack(along), np.stack([leaves, enters], axis=1)[cut]


def _has_reverse(edges: Indices) -> NDArray[np.bool_]:
    """Which edges run both ways, that is, lie between two neighbours."""
    nodes, compact = np.unique(edges, return_inverse=True)
    start, end = compact.reshape(edges.shape).T.astype(np.int64)
    return np.isin(start * len(nodes) + end, end * len(nodes) + start)


def _chains(edges: Indices) -> list[list[int]]:
    """Directed edges joined end to end; rings end where they began."""
    onward: dict[int, list[int]] = defaultdict(list)
    arrivals: dict[int, int] = defaultdict(int)
    for a, b in edges.tolist():
        onward[a].append(b)
        arrivals[b] += 1
    starts = [n for n in onward if len(onward[n]) > arrivals[n]]
    chains = []
    for start in [*starts, *onward]:
        while onward[start]:
            chain = [start]
            while onward.get(chain[-1]):
                chain.append(onward[chain[-1]].pop())
                if chain[-1] == start:
                    break
            chains.append(chain)
    return chains


def _places(chain: list[int], points: Array, values: Array, level: float) -> tuple[Point, ...]:
    """Where the nodes are: corners as they are, crossings by straight interpolation."""
    nodes, count = np.array(chain), len(points)
    corner = nodes < count
    i, j = np.where(corner, nodes, nodes // count - 1), np.where(corner, nodes, nodes % count)
    difference = np.where(corner, 1.0, values[j] - values[i])
    share = np.where(corner, 0.0, (level - values[i]) / difference)
    places = points[i] + share[:, None] * (points[j] - points[i])
    return tuple((float(x), float(y)) for x, y in places)
