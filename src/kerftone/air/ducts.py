"""The air in the saw cuts: how hard it is to move through them, upwards and along.

Every open cell of the grid is a column of the top's thickness, parted into layers; air flows from cell to cell
where both are open, so that it finds its own way through the wide gaps between facing tips. Finite volumes for a
flow without divergence. Flows through the upper mouth count upwards, through the lower mouth likewise.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix, diags_array
from scipy.sparse.linalg import splu

from kerftone.air.grid import Grid

Array = NDArray[np.floating[Any]]
MOUTH = (0.5 - np.log(0.5 * np.pi)) / np.pi
"""An even flow across the mouth of a slit in a thick wall has this much, in widths, too long an end correction: the
mean of the logarithm over a strip against the flow out of a channel by conformal mapping (derived in
docs/model.md)."""
LAYERS = 5
"""Two layers or ten move the breathing by less than a ten-thousandth."""
SHUT = 1e-5
"""Air in the cuts gives way by so little against the rest: the flow's divergence is as good as nil."""


def inertance(grid: Grid, deep_m: float) -> Array:
    """What the air in the cuts resists with: 1/m, for flows through each upper mouth, then each lower one.

    For one straight cut, as much flowing in as out, it is depth over area. Held by tests/air/test_ducts.py.
    """
    openings = grid.openings
    area = grid.open_m2.ravel()[openings]
    count, dz = len(openings), deep_m / LAYERS
    upright = np.repeat(area[None, :] / dz, LAYERS - 1, axis=0)
    rows, columns, through = _beside(grid, dz)
    links = [(layer * count + rows, layer * count + columns, through) for layer in range(LAYERS)] + [
        (layer * count + np.arange(count), (layer + 1) * count + np.arange(count), upright[layer])
        for layer in range(LAYERS - 1)
    ]
    a, b, g = (np.concatenate(part) for part in zip(*links, strict=True))
    size = LAYERS * count
    give = SHUT * np.tile(area, LAYERS) / LAYERS / deep_m
    pairs = np.concatenate([a, b]), np.concatenate([b, a])
    joined = csc_matrix(coo_matrix((np.concatenate([g, g]), pairs), shape=(size, size)))
    laplace = csc_matrix(diags_array(give + np.asarray(joined.sum(axis=1)).ravel()) - joined)
    loads = np.zeros((size, 2 * count))
    loads[-count:, :count] = -np.eye(count)
    loads[:count, count:] = np.eye(count)
    answer = splu(laplace).solve(loads)
    half = 0.5 * dz / np.concatenate([area, area])
    whole = loads.T @ answer + np.diag(half)
    return np.asarray(0.5 * (whole + whole.T))


def _beside(grid: Grid, dz: float) -> tuple[NDArray[np.intp], NDArray[np.intp], Array]:
    """Pairs of open cells side by side, by their number among the openings, and how well they are joined in a
    layer."""
    shape = grid.open_m2.shape
    number = np.full(shape, -1)
    number.ravel()[grid.openings] = np.arange(len(grid.openings))
    share = grid.open_m2 / grid.cell_m2
    found: list[tuple[Any, Any, Any]] = []
    steps = np.diff(grid.xs), np.diff(grid.ys)
    for axis in (0, 1):
        ahead = np.take(number, np.arange(1, shape[axis]), axis=axis)
        here = np.take(number, np.arange(shape[axis] - 1), axis=axis)
        least = np.minimum(
            np.take(share, np.arange(1, shape[axis]), axis=axis),
            np.take(share, np.arange(shape[axis] - 1), axis=axis),
        )
        apart = 0.5 * (steps[axis][1:] + steps[axis][:-1])
        wide = steps[1 - axis]
        joined = np.outer(1.0 / apart, wide) if axis == 0 else np.outer(wide, 1.0 / apart)
        both = (here >= 0) & (ahead >= 0)
        found.append((here[both], ahead[both], (dz * joined * least)[both]))
    a, b, g = (np.concatenate(part) for part in zip(*found, strict=True))
    return a, b, g
