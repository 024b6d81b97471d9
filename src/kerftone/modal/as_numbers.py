"""From a live solution to what a prediction needs of it, as plain numbers."""

from __future__ import annotations

import numpy as np

from kerftone.modal.joints import joint_slopes
from kerftone.modal.notes import weights
from kerftone.modal.result import Solved
from kerftone.modal.sensitivity import round_over_cents, wood_gradients
from kerftone.modal.solve import Solution


def solved(solution: Solution) -> Solved:
    """What a prediction needs of a solved drum."""
    modes = solution.modes(view=True)
    own = [int(number) for number in np.argmax(weights(modes), axis=1)]
    return Solved(
        modes=modes,
        gradients=wood_gradients(solution, own),
        joints=joint_slopes(solution, own),
        rounded=round_over_cents(solution, own),
    )
