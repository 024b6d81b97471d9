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
    more, by joint, arrays (t,): see `joints.joint_slopes`.
    """

    modes: Modes
    gradients: Mapping[str, Array]
    joints: Mapping[str, Array]
