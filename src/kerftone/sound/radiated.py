"""What a listener gets of each motion of wood and air: as much as it radiates.

Close to the struck tongue its own push is heard; in front of the drum, what leaves it: neighbours that move the
other way, walls and slots take part of it back or add to it. A motion that radiates a power is heard as a small
source of the same power would be.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kerftone.modal.result import Array, Modes
from kerftone.sound.air import Air


def radiated(modes: Modes, q: Array, air: Air | None = None) -> Modes:
    """The same modes, all of them pushing the volume of the small source that radiates as much, whoever is struck.

    From 1/Q = rho omega volume² / (c Omega), see `decay.radiation_loss`, which
    gives 1/Q back. Held by tests/sound/test_radiated.py.

    Parameters
    ----------
    modes : Modes
        In air, their net volumes signed.
    q : Array
        Radiation Q of each mode, (n,).
    air : Air, optional
        What carries the sound; without it 20 °C, and room on all sides.
    """
    air = air or Air()
    omega = 2.0 * np.pi * np.asarray(modes.hz)
    size = np.sqrt(air.speed_m_s * air.solid_angle_sr / (air.density_kg_m3 * omega * np.asarray(q)))
    volume = np.copysign(size, modes.volume)
    return replace(modes, volume=volume, sweep=np.tile(volume, (len(modes.strike), 1)))
