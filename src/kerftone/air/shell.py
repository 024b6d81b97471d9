"""The outside of the box as flat panels: where it meets the air.

A plain brick, top, bottom and four sides, in rectangles. A table is a mirror; flat on it there is no lower face.
Metres, in the drum's frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
PANEL_M = 0.036
"""The longest panel: some three hundred on a usual drum. See docs/accuracy.md."""
GRADED = 0.8
"""How far the panels are graded: 0 even, 1 as a cosine."""
CLEAR = 0.2
"""No line is nearer to a mark than this share of the longest panel."""
FACES = ("left", "right", "front", "back", "below", "above")


@dataclass(frozen=True, kw_only=True)
class Brick:
    """The outside of the box, m: its lowest and highest corner."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Shell:
    """Panels: middles (p, 3), half sides along x, y, z (p, 3; nil along the normal), normals out of the wood (p, 3).

    face (p,): which of `FACES`. lines: the panels' borders on the upper face, along x and y. mirror_m: the height of
    the table, if there is one under it.
    """

    middles: Array
    halves: Array
    normals: Array
    face: NDArray[np.intp]
    lines: tuple[Array, Array]
    mirror_m: float | None

    @property
    def area(self) -> Array:
        """The area of each panel, m²."""
        sides = np.where(self.normals != 0.0, 1.0, 2.0 * self.halves)
        return np.asarray(sides.prod(axis=1))

    @property
    def above(self) -> NDArray[np.bool_]:
        """Which panels are on the upper face."""
        return np.asarray(self.face == FACES.index("above"))


def shell_of(
    brick: Brick,
    *,
    marks: tuple[tuple[float, ...], ...] = ((), (), ()),
    gap_m: float | None = None,
    fineness: float = 1.0,
) -> Shell:
    """Panels over a brick.

    Parameters
    ----------
    brick : Brick
        The outside of the box, m.
    marks : tuple[tuple[float, ...], ...], optional
        Where the panels are parted besides, along x, y and z, m.
    gap_m : float, optional
        How far a table lies below it, m: flat on it there is no lower face. Without it there is none.
    fineness : float, optional
        2 has panels half as long.
    """
    lines = [
        _parted([a, *sorted(within), b], PANEL_M / fineness)
        for a, b, within in zip(brick.low, brick.high, marks, strict=True)
    ]
    parts = []
    for number in range(6):
        axis, side = number // 2, 1.0 if number % 2 else -1.0
        if gap_m == 0.0 and FACES[number] == "below":
            continue
        across = [other for other in range(3) if other != axis]
        mids = [0.5 * (lines[k][1:] + lines[k][:-1]) for k in across]
        steps = [0.5 * np.diff(lines[k]) for k in across]
        mesh, half = np.meshgrid(*mids, indexing="ij"), np.meshgrid(*steps, indexing="ij")
        count = mesh[0].size
        middles, halves, normals = np.zeros((count, 3)), np.zeros((count, 3)), np.zeros((count, 3))
        for k, at, width in zip(across, mesh, half, strict=True):
            middles[:, k], halves[:, k] = at.ravel(), width.ravel()
        middles[:, axis] = brick.high[axis] if side > 0.0 else brick.low[axis]
        normals[:, axis] = side
        parts.append((middles, halves, normals, np.full(count, number)))
    middles, halves, normals, face = (np.concatenate(column) for column in zip(*parts, strict=True))
    return Shell(
        middles=middles,
        halves=halves,
        normals=normals,
        face=face,
        lines=(lines[0], lines[1]),
        mirror_m=None if gap_m is None else brick.low[2] - gap_m,
    )


def _parted(marks: list[float], longest: float) -> Array:
    """Lines through all marks, closer together towards both ends, where the potential bends round the edge."""
    low, high = marks[0], marks[-1]
    share = np.linspace(0.0, 1.0, 2 * max(1, round(0.5 * (high - low) / longest)) + 1)
    graded = low + (high - low) * ((1.0 - GRADED) * share + GRADED * 0.5 * (1.0 - np.cos(np.pi * share)))
    kept = [line for line in graded[1:-1] if min(abs(line - mark) for mark in marks) > CLEAR * longest]
    return np.array(sorted({*marks, *kept}))
