"""Which mode of a drum is which when the same wood stands otherwise.

Modes change their order when the drum is let loose or held, so they are followed by shape: two modes are the
same motion as far as their product in the mass of the wood is near 1 (they are mass-normalised). Both
solutions must be of the same outline, and so of the same mesh; only how the drum stands may differ.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerftone.modal.solve import Solution

ALIKE = 0.6
"""The least likeness at which two modes are called the same: well above half of the motion in common."""


def same_modes(solution: Solution, numbers: Sequence[int], other: Solution) -> tuple[int | None, ...]:
    """Which mode of `other` each of these modes of `solution` is, counted from 0; None where none is like it.

    Raises ValueError for solutions of different meshes. Held by tests/modal/test_follow.py.

    Parameters
    ----------
    solution : Solution
        The one whose modes are followed.
    numbers : Sequence[int]
        Of its modes, counted from 0.
    other : Solution
        The one they are looked for in, on the same mesh.
    """
    if solution.shapes.shape[1] != other.shapes.shape[1]:
        raise ValueError("the two drums are not of the same outline")
    found = []
    for number in numbers:
        likeness = abs(other.shapes @ solution.mass(solution.shapes[number]))
        best = int(np.argmax(likeness))
        found.append(best if likeness[best] >= ALIKE else None)
    return tuple(found)
