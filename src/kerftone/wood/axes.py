"""Where the grain of a piece of wood points, and how stiff the piece is along other axes than its own.

x along the drum's length, y across, z up. Strains are the six engineering components in the order xx, yy, zz, yz,
xz, xy. Moduli in GPa.
"""

from __future__ import annotations

import math
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from kerftone.wood.elastic import Elastic

Matrix = NDArray[np.floating[Any]]
Cut = Literal["flatsawn", "quartersawn"]
PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))
"""The strains in the order LL, RR, TT, RT, LT, LR, and xx, yy, zz, yz, xz, xy."""


def flat_axes(cut: Cut, grain_angle_deg: float = 0.0, dive_deg: float = 0.0) -> Matrix:
    """Where L, R and T of a board lying flat point, as rows of unit vectors in x, y, z.

    Parameters
    ----------
    cut : Cut
        Which way the growth rings lie.
    grain_angle_deg : float, optional
        Of the grain to x in plan, counter-clockwise from above.
    dive_deg : float, optional
        By how much the grain rises along its way, out of the plane of the board.
    """
    turn, dive = math.radians(grain_angle_deg), math.radians(dive_deg)
    ahead = [math.cos(turn), math.sin(turn)]
    along = [math.cos(dive) * ahead[0], math.cos(dive) * ahead[1], math.sin(dive)]
    across = [-ahead[1], ahead[0], 0.0]
    through = [-math.sin(dive) * ahead[0], -math.sin(dive) * ahead[1], math.cos(dive)]
    if cut == "flatsawn":
        return np.array([along, through, across])
    return np.array([along, across, through])


def turned(elastic: Elastic, axes: Matrix) -> Matrix:
    """Stress for strain in x, y, z (GPa, 6 by 6), of a wood whose L, R, T are the rows of `axes`."""
    turn = np.empty((6, 6))
    for column, (i, j) in enumerate(PAIRS):
        strain = np.zeros((3, 3))
        strain[i, j] += 0.5
        strain[j, i] += 0.5
        seen = axes @ strain @ axes.T
        turn[:, column] = [seen[a, b] * (1.0 if a == b else 2.0) for a, b in PAIRS]
    return np.asarray(turn.T @ elastic.stiffness() @ turn)
