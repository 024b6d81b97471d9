"""What a drum in air sounds, as plain numbers: its notes, how loud they are, and the breathing of the box.

They come from `answer.py`, which couples wood and air, or from the folder where they were kept; nothing here loads
the solver. Hz, dB re 1 W.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.modal.notes import NoteHeard, read_notes
from kerftone.modal.result import Modes

Array = NDArray[np.floating[Any]]
MODE_PARTS = ("hz", "strike", "sweep", "volume")
PARTS = ("q", "q_rubbed", "rubbed_hz", "holding", "ear", "parts", "owns")


@dataclass(frozen=True, kw_only=True)
class InAir:
    """A drum in air, as plain arrays. modes: of wood and air together, real.

    q, q_rubbed (n,): what radiation leaves each, and what radiation and friction in the slots do; rubbed_hz (n,):
    where friction takes it. holding (n,): 1/Q by what it stands on alone. ear (n,): the volume of the small source
    that would be as loud to a listener in front of the drum, m² kg^-1/2, with its sign (`radiation.EAR_M`). parts (n,
    modes of the wood alone): how far it moves in each. owns (t,): each tongue's note. breathing: the mode that is it,
    -1 where the box is open below and does not breathe.
    """

    modes: Modes
    q: Array
    q_rubbed: Array
    rubbed_hz: Array
    holding: Array
    ear: Array
    parts: Array
    owns: NDArray[np.intp]
    breathing: int

    @property
    def shares(self) -> Array:
        """How much of each mode of the wood alone is in each, by energy, (n, modes of the wood alone)."""
        return np.asarray(self.parts**2)

    def hz_of(self, mode: int) -> float:
        """Where air takes this mode of the wood: the motion that has most of it."""
        return float(self.modes.hz[int(self.shares[:, mode].argmax())])

    @property
    def breathing_hz(self) -> float | None:
        """The breathing's frequency."""
        return float(self.modes.hz[self.breathing]) if self.breathing >= 0 else None

    @property
    def breathing_q(self) -> float | None:
        """How slowly the breathing dies by radiation."""
        return float(self.q[self.breathing]) if self.breathing >= 0 else None

    def arrays(self) -> dict[str, Array]:
        """All of it as arrays by name, to be kept: see `from_arrays`."""
        modes = {name: getattr(self.modes, name) for name in MODE_PARTS}
        kept = {name: np.asarray(getattr(self, name)) for name in PARTS}
        model = np.array([self.modes.unknowns, self.modes.seconds, self.breathing], dtype=float)
        return modes | kept | {"model": model}


@dataclass(frozen=True, kw_only=True)
class TongueInAir:
    """One tongue's note in air. heard: as in vacuo, with the frequencies of wood and air; its `mode` is that of the
    wood alone which the note mostly is.

    power_db: what the note's own motion radiates just after a blow of 1 N s at the strike point, dB re 1 W.
    friction_cents: how far friction in the slots moves it besides; q_rubbed: what radiation and friction leave
    together. holding: 1/Q by what the drum stands on alone.
    """

    heard: NoteHeard
    in_vacuo_hz: float
    radiation_q: float
    power_db: float
    friction_cents: float
    q_rubbed: float
    holding: float = 0.0

    @property
    def shift_cents(self) -> float:
        """How far air moves it from where the wood alone would sound."""
        return 1200.0 * math.log2(self.heard.hz / self.in_vacuo_hz)


def from_arrays(kept: Mapping[str, Array]) -> InAir:
    """What `InAir.arrays` gave. Raises KeyError where a part is missing."""
    unknowns, seconds, breathing = (float(value) for value in kept["model"])
    parts: dict[str, Any] = {name: kept[name] for name in MODE_PARTS}
    numbers: dict[str, Any] = {name: kept[name] for name in PARTS}
    return InAir(
        modes=Modes(**parts, unknowns=int(unknowns), seconds=seconds),
        **numbers,
        breathing=int(breathing),
    )


def tongues_in_air(drum: Drum, alone: Modes, air: InAir) -> tuple[TongueInAir, ...]:
    """What each tongue sounds in air, in the drum's order.

    Parameters
    ----------
    drum : Drum
        The drum, for the names of its places.
    alone : Modes
        The modes of the wood by itself.
    air : InAir
        The same with air.
    """
    modes, owns = air.modes, [int(own) for own in air.owns]
    told = []
    notes = read_notes(drum, alone)
    for note, heard, own in zip(notes, read_notes(drum, modes, owns), owns, strict=True):
        hz, q = float(modes.hz[own]), float(air.q[own])
        power = 0.5 * float(modes.strike[note.number, own]) ** 2 * 2.0 * math.pi * hz / q
        told.append(
            TongueInAir(
                heard=replace(heard, mode=note.mode),
                in_vacuo_hz=note.hz,
                radiation_q=q,
                power_db=10.0 * math.log10(max(power, 1e-30)),
                friction_cents=1200.0 * math.log2(float(air.rubbed_hz[own]) / hz),
                q_rubbed=float(air.q_rubbed[own]),
                holding=float(air.holding[own]),
            )
        )
    return tuple(told)
