"""Integrals of 1/r over rectangles, in closed form.

The field of a source near a flat face is 1/r, which no rule of points integrates well where source and listener
touch. Over rectangles it is known exactly: the antiderivatives here are differenced at the corners.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
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
    total, angle = np.zeros(np.broadcast(u, half[0]).shape), np.zeros(np.broadcast(u, half[0]).shape)
    for a_sign in (1.0, -1.0):
        for b_sign in (1.0, -1.0):
            a, b = u + a_sign * half[0], v + b_sign * half[1]
            r = np.sqrt(a**2 + b**2 + w**2)
            turn = np.arctan2(a * b, w * r) if np.ndim(w) == 0 else _corner_angle(a, b, w, r)
            piece = (
                a * np.arcsinh(b / np.maximum(np.hypot(a, w), TINY))
                + b * np.arcsinh(a / np.maximum(np.hypot(b, w), TINY))
                - w * turn
            )
            total += a_sign * b_sign * piece
            angle += a_sign * b_sign * turn
    return total, angle


def _corner_angle(a: Array, b: Array, w: Array, r: Array) -> Array:
    """The arc tangent of ab / (w r), nil where w is."""
    flat = abs(w) < 1e-12
    return np.asarray(np.where(flat, 0.0, np.arctan(a * b / np.where(flat, 1.0, w * r))))
