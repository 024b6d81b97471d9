"""What a listener gets of each motion of wood and air: the pressure at a place in front of the drum.

Close to the struck tongue its own push is heard; in front of the drum, what leaves it: neighbours that move the
other way, walls and slots take part of it back or add to it. A motion dies by what it radiates to all sides, and is
heard by what of it comes to the listener, which for a motion whose parts cancel is a matter of direction.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kerftone.modal.result import Array, Modes
from kerftone.sound.air import FREE_SPACE_SR, Air


def radiated(modes: Modes, q: Array, ear: Array, air: Air | None = None) -> Modes:
    """The same modes: each heard as the small source that gives the listener as much, whoever is struck, and pushing
    the volume of the one that radiates as much, by which it dies.

    From 1/Q = rho omega volume² / (c Omega), see `decay.radiation_loss`, which
    gives 1/Q back. Held by tests/sound/test_radiated.py.

    Parameters
    ----------
    modes : Modes
        In air, their net volumes signed.
    q : Array
        Radiation Q of each mode, (n,).
    ear : Array
        Volumes of the small sources in free space that are as loud to the listener, signed, (n,), in m² kg^-1/2.
    air : Air, optional
        What carries the sound; without it 20 °C, and room on all sides.
    """
    air = air or Air()
    omega = 2.0 * np.pi * np.asarray(modes.hz)
    # A mode that radiates nothing has a Q near the largest number there is: divided by last, it is no sound.
    size = np.sqrt(air.speed_m_s * air.solid_angle_sr / (air.density_kg_m3 * omega) / np.asarray(q))
    volume = np.copysign(size, modes.volume)
    heard = np.asarray(ear) * air.solid_angle_sr / FREE_SPACE_SR
    return replace(modes, volume=volume, sweep=np.tile(heard, (len(modes.strike), 1)))
