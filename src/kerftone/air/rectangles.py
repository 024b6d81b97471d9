"""Integrals of 1/r over rectangles, in closed form.

The field of a source near a flat face is 1/r, which no rule of points integrates well where source and listener
touch. Over rectangles it is known exactly: the antiderivatives here are differenced at the corners.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
SIGNS = (-1.0, 1.0)
"""Of the two ends of a side."""
TINY = 1e-300
"""Keeps a nought from dividing; below any length that counts."""


def _twice(x: Array, y: Array) -> Array:
    """A function whose fourth derivative, twice by x and twice by y, is 1/r. Even in both."""
    r = np.hypot(x, y)
    along = np.arcsinh(x / np.maximum(abs(y), TINY))
    across = np.arcsinh(y / np.maximum(abs(x), TINY))
    return np.asarray(0.5 * (y**2 * x * along + x**2 * y * across) - r**3 / 6.0)


def between_cells(xs: Array, ys: Array) -> Array:
    """The double integral of 1/r between any two cells of a tensor grid, m³ (x, y, x, y).

    xs, ys: the grid's lines, rising. Held by tests/air/test_rectangles.py.
    """
    dx, dy = (lines[:, None] - lines[None, :] for lines in (xs, ys))
    grid = _twice(dx[:, :, None, None], dy[None, None, :, :])  # (x, x', y, y')
    for axis in range(4):
        grid = np.diff(grid, axis=axis)
    return np.asarray(grid.transpose(0, 2, 1, 3))


def mean_between(half: tuple[float, float], other: tuple[float, float], apart: tuple[float, float]) -> float:
    """The mean of 1/r between two rectangles of one plane, 1/m. Held by tests/air/test_rectangles.py.

    Parameters
    ----------
    half : tuple[float, float]
        Half sides of the one, in m.
    other : tuple[float, float]
        Half sides of the other, in m.
    apart : tuple[float, float]
        From the middle of the one to that of the other, in m.
    """
    reach = [
        np.array([d + s * a + t * b for s in (-1.0, 1.0) for t in (-1.0, 1.0)])
        for a, b, d in zip(half, other, apart, strict=True)
    ]
    signs = np.array([1.0, -1.0, -1.0, 1.0])
    whole = signs @ _twice(reach[0][:, None], reach[1][None, :]) @ signs
    return float(whole / (16.0 * half[0] * half[1] * other[0] * other[1]))


def potential(u: Array, v: Array, w: Array, half: tuple[Array, Array]) -> tuple[Array, Array]:
    """What one rectangle does at a point: the integral of 1/r over it, and the solid angle it fills.

    Parameters
    ----------
    u : Array
        From the rectangle's middle to the point along its first side.
    v : Array
        Along its second side.
    w : Array
        Off its plane; the solid angle has this sign, and is nil in the plane.
    half : tuple[Array, Array]
        Half the sides along u and v. All in one unit of length, of shapes that broadcast.
    """
    u, v, off = abs(u), abs(v), w**2
    along, across = (u - half[0], u + half[0]), (v - half[1], v + half[1])
    r = [[np.sqrt(a**2 + b**2 + off) for b in across] for a in along]
    total: Array = np.zeros(np.broadcast(u, half[0]).shape)
    angle = np.zeros_like(total)
    for sign, a, row in zip(SIGNS, along, r, strict=True):
        total += sign * a * _between(across, row, a**2 + off)
        for other, b, distance in zip(SIGNS, across, row, strict=True):
            angle += sign * other * _corner_angle(a, b, w, distance)
    for sign, b, column in zip(SIGNS, across, zip(*r, strict=True), strict=True):
        total += sign * b * _between(along, column, b**2 + off)
    return total - w * angle, angle


def _between(ends: tuple[Array, Array], distances: Sequence[Array], square: Array) -> Array:
    """The integral of 1/r along a straight line between two ends, the second beyond the point and the farther.

    Parameters
    ----------
    ends : tuple[Array, Array]
        Where the line begins and ends, along itself from where it is nearest to the point.
    distances : Sequence[Array]
        Of the two ends from the point.
    square : Array
        Of the line's own distance from the point.
    """
    (start, end), (near, far) = ends, distances
    # Where the line begins on the other side of the point, the plain sum would cancel.
    turned = square / np.maximum(near - start, TINY)
    reach = np.where(start < 0.0, turned, start + near)
    return np.asarray(np.log((end + far) / np.maximum(reach, TINY)))


def _corner_angle(a: Array, b: Array, w: Array, r: Array) -> Array:
    """The arc tangent of ab / (w r), nil where w is."""
    flat = abs(w) < 1e-12
    return np.asarray(np.where(flat, 0.0, np.arctan(a * b / np.where(flat, 1.0, w * r))))
