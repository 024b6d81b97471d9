"""How well the drum's glue joints hold, and what that leaves open of each note.

The model's joints hold all over. A real one may hold on a share of its area only, with dry spots between. A row of
flat cracks in one plane, with so much of the plane left between them, gives under tension as so many mm more of the
wood would: that follows from Irwin's stress intensity of such a row (1957, from memory), K = σ √(2W tan(πa/2W)), by
the energy released as the cracks grow. In shear it gives half as much at most, so the answer is the most there is.
And it is for wood that is alike in all directions; ours is not: take it for the size of the thing. Held by
tests/tune/test_glue.py.

What share holds nobody knows before: it is taken as equally likely between `LEAST_SHARE` and all of it. The pitches
are worked out for joints that hold all over, so the ± is the root of the mean square of the fall.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from kerftone.modal.result import Array

SOFTER = 3.0
"""Where the top is only clamped, its springs may be so many times as soft, or as stiff: nobody measures the pressure
of clamps or the roughness of faces. One standard deviation, own judgement."""
LEAST_SHARE = 0.7
"""Of a joint made with care this share holds at least: own judgement, no source."""
SPOTS_MM = 10.0
"""Dry spots lie about so far apart: own judgement, no source. The effect is in proportion to it."""


def gives_mm(share: float) -> float:
    """As how many mm of the wood next to it a joint gives that holds on this share of its area, in spots."""
    half = 0.5 * SPOTS_MM
    return -8.0 * half / math.pi * math.log(math.cos(0.5 * math.pi * (1.0 - share)))


def likely_mm() -> float:
    """The root of the mean square of that, all shares from the least to 1 alike."""
    places, weights = np.polynomial.legendre.leggauss(8)
    shares = 1.0 - 0.5 * (1.0 - LEAST_SHARE) * (1.0 + places)
    squares = [gives_mm(float(share)) ** 2 for share in shares]
    return math.sqrt(0.5 * float(np.dot(weights, squares)))


def glue_covariance(joints: Mapping[str, Array]) -> Array:
    """How the notes may be off, each and together, for want of knowing how the joints hold: cents² (t, t).

    Parameters
    ----------
    joints : Mapping[str, Array]
        How many cents each note falls for each mm that a joint gives, by joint (t,), and for "clamps" for each
        logarithm by which they are softer: see `joints.joint_slopes`.
    """
    each = [falls * (math.log(SOFTER) if name == "clamps" else likely_mm()) for name, falls in joints.items()]
    return np.asarray(sum(np.outer(falls, falls) for falls in each))


def with_glue_cents(wood_cents: Sequence[float], joints: Mapping[str, Array]) -> tuple[float, ...]:
    """The ± of each note (one standard deviation, cents) that wood alone leaves, with that of the joints in it."""
    glue = np.diag(glue_covariance(joints))
    return tuple(math.sqrt(wood**2 + of_glue) for wood, of_glue in zip(wood_cents, glue, strict=True))


def falls_cents(joints: Mapping[str, Array]) -> dict[str, Array]:
    """How far each note falls where a joint holds on the least share of its area, in cents (t,), by joint.

    For "clamps": where the springs under the top are `SOFTER` times as soft.
    """
    least = gives_mm(LEAST_SHARE)
    return {name: falls * (math.log(SOFTER) if name == "clamps" else least) for name, falls in joints.items()}
