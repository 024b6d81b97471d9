"""Boards that the maker may have in hand: the wood of a drum drawn from its scatter.

All stiffnesses of a board move together, with its density correlated as in `spread.py`; top, walls and bottom are
boards of their own. Always the same draw for the same drum.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.modal.search import Board
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.tune.spread import covariance, scatters

STIFFNESS, DENSITY = CONSTANTS.index("e_l_gpa"), CONSTANTS.index("density_kg_m3")
SEED = 20
"""Any number; always the same, so that an answer is."""


@lru_cache(maxsize=8)
def drawn(dimensions: int, count: int) -> Array:
    """Spread evenly, normally distributed numbers (count, dimensions). Processes that are split off have them too."""
    if count == 0:
        return np.zeros((0, dimensions))
    from scipy.stats import qmc

    return np.asarray(qmc.MultivariateNormalQMC(np.zeros(dimensions), seed=SEED).random(count))


def drawn_boards(drum: Drum, count: int) -> list[Board]:
    """So many drums' worth of wood, as factors on the stiffness and density of the drum as drawn."""
    parts = scatters(drum)
    boards = []
    for row in drawn(2 * len(parts), count):
        stiffness, density = {}, {}
        for (part, scatter), pair in zip(parts.items(), row.reshape(-1, 2), strict=True):
            two = covariance(scatter)[np.ix_([STIFFNESS, DENSITY], [STIFFNESS, DENSITY])]
            factors = np.exp(np.linalg.cholesky(two + 1e-12 * np.eye(2)) @ pair)
            stiffness[part], density[part] = float(factors[0]), float(factors[1])
        boards.append(Board(stiffness=stiffness, density=density))
    return boards
