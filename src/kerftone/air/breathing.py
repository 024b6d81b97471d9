"""Where a box breathes, and how loud its notes are, before its wood is solved with the air: in a sixth of a second.

The breathing is that of the box with still wood, by the same openings, cavity and outside as the coupled answer; the
wood's own give moves it by less than a hundredth on the reference drums. How loud a note is then follows from two
things: the air its motion of the wood pushes, and the air in the slots, which flows the other way below the
breathing, with it above, and all but cancels it far below. It is meant for comparing drums and arrangements by the
hundred; what is printed comes from the coupled answer. A breathing that is known already, as one kept beside a drum
file, is told without loading the model of the air. Held by tests/air/test_breathing.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.medium import Medium, air_at
from kerftone.air.near_breathing import AFFECTED_Q, NEAR
from kerftone.drum.design import Drum

if TYPE_CHECKING:
    from kerftone.air.place import Place

Array = NDArray[np.floating[Any]]
FIRST_GUESS_HZ, UP_TO_HZ = 300.0, 1600.0
"""Where the breathing is looked for first, and to where: that of 5 litres with short slots is below 900 Hz."""
QUIETEST = 1e-12
"""A note that pushes no air at all is taken as so many watts; nothing that is heard comes near it."""


@dataclass(frozen=True, kw_only=True)
class Breathing:
    """The breathing of a box of still wood: its frequency, and how slowly it dies by sound alone."""

    hz: float
    q: float
    medium: Medium

    def radiation_q(self, hz: Array, volume: Array) -> Array:
        """How slowly notes die by sound alone, from the air they push (m² kg^-1/2) and the air in the slots.

        A small source of the volume V - V / (1 - r² - i r/Q), r the note over the breathing: what the wood pushes
        less what the slots take in. Standard acoustics of a driven resonator and a monopole.
        """
        ratio = np.asarray(hz) / self.hz
        net = np.asarray(volume) * abs(1.0 - 1.0 / (1.0 - ratio**2 - 1j * ratio / self.q))
        omega = 2.0 * math.pi * np.asarray(hz)
        loss = self.medium.density_kg_m3 * omega * net**2 / (4.0 * math.pi * self.medium.speed_m_s)
        return np.asarray(1.0 / np.maximum(loss, QUIETEST))

    def power_db(self, hz: Array, lift: Array, volume: Array) -> Array:
        """How loud notes are, dB re 1 W just after a blow of 1 N s (t,).

        Parameters
        ----------
        hz : Array
            The notes, (t,), in Hz.
        lift : Array
            How far each motion lifts its strike point, (t,), kg^-1/2.
        volume : Array
            Net volume that each pushes, (t,), m² kg^-1/2.
        """
        power = math.pi * np.asarray(hz) * np.asarray(lift) ** 2 / self.radiation_q(hz, volume)
        return np.asarray(10.0 * np.log10(np.maximum(power, QUIETEST)))

    def lies_on(self, hz: Array, volume: Array, *, shift: float = 1.0) -> NDArray[np.bool_]:
        """Which notes are too near the breathing and feel it.

        Parameters
        ----------
        hz : Array
            The notes, (t,), in Hz.
        volume : Array
            Net volume that each pushes, (t,), m² kg^-1/2.
        shift : float, optional
            The breathing is taken so many times as high.
        """
        there = replace(self, hz=shift * self.hz)
        near = abs(np.asarray(hz) / there.hz - 1.0) < NEAR
        return np.asarray(near & (there.radiation_q(hz, volume) < AFFECTED_Q))


def breathing_of(drum: Drum, medium: Medium | None = None) -> Breathing | None:
    """Where the finished box breathes, its wood thought still; None for one that is open below.

    Parameters
    ----------
    drum : Drum
        With places and lengths for all tongues: the slots are what it breathes through.
    medium : Medium, optional
        The air; that of a room of 20 °C if not said.
    """
    if drum.bottom is None:
        return None
    from kerftone.air.place import BottomState, place_of

    return breathing_at(place_of(drum, BottomState.GLUED), medium or air_at())


def breathing_at(place: Place, medium: Medium) -> Breathing | None:
    """The lowest motion of the air in these surroundings; None if there is none below 1.6 kHz."""
    from kerftone.air.coupled import coupled
    from kerftone.air.poles import poles
    from kerftone.air.wood import still

    system = coupled(place, medium, np.zeros(0), still(place), up_to_hz=FIRST_GUESS_HZ * 1.5)
    found = poles(replace(system, friction=False), near_hz=FIRST_GUESS_HZ, up_to_hz=UP_TO_HZ)
    return Breathing(hz=found[0].hz, q=found[0].q, medium=medium) if found else None
