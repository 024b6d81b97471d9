"""Two coupled oscillators: a tongue, and a tone of the box that hangs on it."""

from __future__ import annotations

import math

import numpy as np

from kerftone.modal.detuned import Detuned
from kerftone.modal.result import Modes

TONGUE_HZ, HANGS = 300.0, 0.02


def box(box_hz: float, *, own_share: float = 1.0) -> Detuned:
    """A tongue of 300 Hz, so much of its stiffness its own, and a tone of the box that hangs on it."""
    tongue, tone = (2.0 * math.pi * TONGUE_HZ) ** 2, (2.0 * math.pi * box_hz) ** 2
    hang = HANGS * math.sqrt(tongue * tone)
    frame = np.array([[(1.0 - own_share) * tongue, hang], [hang, tone]])
    own = np.diag([own_share * tongue, 0.0])
    values, mix = np.linalg.eigh(frame + own)
    modes = Modes(
        hz=np.sqrt(values) / (2.0 * math.pi),
        strike=mix[:1],
        sweep=mix[:1],
        volume=mix[0],
        unknowns=2,
        seconds=0.0,
    )
    return Detuned(
        modes=modes,
        frame=mix.T @ frame @ mix,
        tongues=(mix.T @ own @ mix)[None],
        probes=np.zeros((1, 9, 2)),
        factors=np.ones(1),
    )
