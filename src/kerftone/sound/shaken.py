"""How hard a blow on each tongue shakes other places of the drum: what rattles there is thrown by it.

The blow is that of `strike.py`; what is told begins when the mallet is off, with all modes ringing on, so that their
peaks add up as they really do. The jump of the whole drum under the blow is left out: hands and feet hold it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Top
from kerftone.modal.result import Modes
from kerftone.sound import decay
from kerftone.sound.mallet import Mallet
from kerftone.sound.strike import Blow, strike

Array = NDArray[np.float64]
WATCHED_S = 0.05
"""Within so much of the blow the largest peak comes: a swing and more of the lowest note there is."""
RATE_HZ = 16000
"""So often it is looked at: the modes computed end about 1 kHz."""


@dataclass(frozen=True, kw_only=True)
class Shaken:
    """Of each place and struck tongue (p, t): the peak acceleration in m/s², and the peak way from rest in mm."""

    m_s2: Array
    mm: Array


def shaken(modes: Modes, top: Top, lift: Array, *, mallet: Mallet, speed_m_s: float) -> Shaken:
    """How hard each place is shaken by a blow on each tongue. Held by tests/sound/test_shaken.py.

    Parameters
    ----------
    modes : Modes
        Of the drum.
    top : Top
        The board that is struck.
    lift : Array
        How far each mode moves each place in the direction looked at (p, n), kg^-1/2.
    mallet : Mallet
        What strikes.
    speed_m_s : float
        Of the blows, in m/s.
    """
    hz = np.asarray(modes.hz, dtype=float)
    poles = decay.poles(hz, decay.wood_loss(hz, top))
    count = len(modes.strike)
    blow = Blow(tongue=np.arange(count), speed_m_s=np.full(count, speed_m_s), mallet=mallet, top=top)
    rung = strike(
        shape=np.asarray(modes.strike, dtype=float), volume=np.ones(len(hz)), poles=poles, blow=blow
    )
    turns = np.exp(np.outer(poles, np.arange(round(WATCHED_S * RATE_HZ)) / RATE_HZ))
    ringing = rung.ring[:, :, None] * turns[None]
    ways = ringing / (poles**2)[None, :, None]
    accelerations, moves = (
        np.max(abs(np.einsum("pn,tnm->ptm", np.asarray(lift), part.real)), axis=2) for part in (ringing, ways)
    )
    return Shaken(m_s2=accelerations, mm=1e3 * moves)
