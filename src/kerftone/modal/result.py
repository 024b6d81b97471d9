"""What the vibration model answers: the modes of one drum, as plain arrays.

Shapes are mass-normalised: displacement in metres times the square root of the modal mass in kg,
so a mode driven with a force F at a point where its shape is u moves with a modal force F·u.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]


@dataclass(frozen=True, kw_only=True)
class TopView:
    """The vertical motion of the upper face of the top, for pictures.

    points_mm (p, 2), triangles (t, 3) of point numbers, lift (p, n): z displacement of each mode, kg^-1/2.
    """

    points_mm: Array
    triangles: NDArray[np.integer[Any]]
    lift: Array

    def lift_at(self, places_mm: Array, mode: int) -> Array:
        """How far a mode lifts these places (m, 2), linear in each triangle; beside all of them as the nearest one
        goes on. Held by tests/modal/test_result.py."""
        corners = self.points_mm[self.triangles]
        off = (corners.max(axis=1) < places_mm.min(axis=0)) | (corners.min(axis=1) > places_mm.max(axis=0))
        near = ~off.any(axis=1)
        triangles = self.triangles[near] if near.any() else self.triangles
        first, *others = np.moveaxis(self.points_mm[triangles], 1, 0)
        edges = np.stack([corner - first for corner in others], axis=1)  # (t, 2, 2), an edge a row
        along = np.einsum("mtk,tkj->mtj", places_mm[:, None] - first, np.linalg.inv(edges))
        shares = np.concatenate([1.0 - along.sum(axis=2, keepdims=True), along], axis=2)
        within = shares.min(axis=2).argmax(axis=1)
        lifts = self.lift[triangles[within], mode]
        return np.asarray((shares[np.arange(len(within)), within] * lifts).sum(axis=1))


@dataclass(frozen=True, kw_only=True)
class Modes:
    """The lowest n modes of a drum with t tongues, rigid motions left out.

    hz (n,): frequencies, rising. strike (t, n): vertical motion on each tongue's centre line 15 mm from
    its tip, kg^-1/2. sweep (t, n): net air volume pushed by each tongue's upper face, m² kg^-1/2. volume (n,):
    net air volume the drum's whole outside pushes, m² kg^-1/2.
    unknowns: size of the eigenproblem; seconds: wall time of the whole solve.
    """

    hz: Array
    strike: Array
    sweep: Array
    volume: Array
    unknowns: int
    seconds: float
    view: TopView | None = None


@dataclass(frozen=True, kw_only=True)
class Solved:
    """All that a prediction needs of a solved drum, its meshes and factors left behind.

    modes: with their view. gradients: how each tongue's note answers to the wood, by part, arrays (t, constants):
    see `sensitivity.wood_gradients`. joints: how many cents each falls for each mm of wood that a glue joint gives
    more, by joint, arrays (t,): see `joints.joint_slopes`. rounded (t,): how many cents rounding over the slots'
    edges moves each: see `sensitivity.round_over_cents`.
    """

    modes: Modes
    gradients: Mapping[str, Array]
    joints: Mapping[str, Array]
    rounded: Array
