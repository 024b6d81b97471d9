"""What a solved drum does in air: its notes, how loud they are, and the breathing of the box.

`in_air` couples one solution of the wood with the air in and round it. Numbers are those of air without friction,
so that what is lost is sound and nothing else; what friction in the slots adds is told beside them. SI inside; Hz,
dB re 1 W.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh
from threadpoolctl import threadpool_limits

from kerftone.air.coupled import Coupled, coupled
from kerftone.air.medium import Medium, air_at
from kerftone.air.place import BottomState, place_of
from kerftone.air.poles import Pole, poles
from kerftone.air.wood import pushed
from kerftone.modal.notes import NoteHeard, read_notes
from kerftone.modal.result import Modes
from kerftone.modal.solve import Solution
from kerftone.modal.surface import Motions, motions_of

Array = NDArray[np.floating[Any]]
OVER_NOTES = 1.5
"""The air outside is worked out up to this many times the highest note; above, it is taken as there."""
OWN_MODE = 0.3
"""A motion is the air's own where no mode of the wood makes more of it than this."""


@dataclass(frozen=True, kw_only=True)
class TongueInAir:
    """One tongue's note in air. heard: as in vacuo, with the frequencies of wood and air; its `mode` is that of the
    wood alone which the note mostly is.

    power_db: what the note's own motion radiates just after a blow of 1 N s at the strike point, dB re 1 W.
    friction_cents: how far friction in the slots moves it besides; q_rubbed: what radiation and friction leave
    together.
    """

    heard: NoteHeard
    in_vacuo_hz: float
    radiation_q: float
    power_db: float
    friction_cents: float
    q_rubbed: float

    @property
    def shift_cents(self) -> float:
        """How far air moves it from where the wood alone would sound."""
        return 1200.0 * math.log2(self.heard.hz / self.in_vacuo_hz)


@dataclass(frozen=True, kw_only=True)
class InAir:
    """A drum in air. modes: of wood and air together, real; q, q_rubbed (n,): what radiation leaves each, and what
    radiation and friction do.

    of_wood (n,): the mode of the wood alone that each mostly is, -1 for the air's own. breathing_hz, breathing_q:
    None where the box is open below, which does not breathe.
    """

    state: BottomState
    medium: Medium
    modes: Modes
    q: Array
    q_rubbed: Array
    of_wood: NDArray[np.intp]
    tongues: tuple[TongueInAir, ...]
    breathing_hz: float | None
    breathing_q: float | None


def in_air(
    solution: Solution, state: BottomState, medium: Medium | None = None, *, plate_mm: float = 0.0
) -> InAir:
    """What this drum does in air, with its bottom in this state.

    `solution` is of the wood that then moves: with the bottom for "glued", without it for all others. `plate_mm`: how
    thick a bottom is that is put in but not joined. Held by tests/air/test_reference.py against finite elements for
    wood and air, and by tests of each part.
    """
    medium = medium or air_at()
    place = place_of(solution.drum, state, plate_mm=plate_mm)
    with threadpool_limits(1):
        motions = motions_of(solution)
        wood = pushed(motions, place)
        alone = solution.modes()
        notes = read_notes(solution.drum, alone)
        highest = max(note.hz for note in notes)
        system = coupled(place, medium, motions.squares, wood, up_to_hz=OVER_NOTES * highest)
        up_to = 1.01 * float(solution.hz[-1])
        free = poles(replace(system, friction=False), near_hz=highest, up_to_hz=up_to)
        rubbed = poles(replace(system, friction=True), near_hz=highest, up_to_hz=up_to)
    return _answer(motions, system, free, rubbed, notes, state)


def _answer(
    motions: Motions,
    system: Coupled,
    free: tuple[Pole, ...],
    rubbed: tuple[Pole, ...],
    notes: tuple[NoteHeard, ...],
    state: BottomState,
) -> InAir:
    """All that is told, from the poles."""
    solution = motions.solution
    elastic = len(solution.values)
    shapes = np.array([np.copysign(np.abs(pole.shape), pole.shape.real) for pole in free])
    parts = shapes[:, : system.wood]
    modes = Modes(
        hz=np.array([pole.hz for pole in free]),
        strike=motions.strike @ parts.T,
        sweep=motions.sweep @ parts.T,
        volume=shapes @ system.volume,
        unknowns=solution.space.unknowns,
        seconds=solution.seconds,
    )
    share = parts[:, :elastic] ** 2
    of_wood = np.where(share.max(axis=1) > OWN_MODE, share.argmax(axis=1), -1)
    twins = [_twin(pole, rubbed, system) for pole in free]
    breathing = _breathing(system, free) if state is not BottomState.OFF else None
    owns = [int(share[:, note.mode].argmax()) for note in notes]
    tongues = []
    for note, heard, number in zip(notes, read_notes(solution.drum, modes, owns), owns, strict=True):
        pole, twin = free[number], twins[number]
        power = 0.5 * modes.strike[note.number, number] ** 2 * pole.omega.real / pole.q
        tongues.append(
            TongueInAir(
                heard=replace(heard, mode=note.mode),
                in_vacuo_hz=note.hz,
                radiation_q=pole.q,
                power_db=10.0 * math.log10(max(power, 1e-30)),
                friction_cents=1200.0 * math.log2(twin.hz / pole.hz),
                q_rubbed=twin.q,
            )
        )
    return InAir(
        state=state,
        medium=system.medium,
        modes=modes,
        q=np.array([pole.q for pole in free]),
        q_rubbed=np.array([twin.q for twin in twins]),
        of_wood=of_wood,
        tongues=tuple(tongues),
        breathing_hz=None if breathing is None else breathing.hz,
        breathing_q=None if breathing is None else breathing.q,
    )


def _twin(pole: Pole, others: tuple[Pole, ...], system: Coupled) -> Pole:
    """The same motion among others: the most alike in the mass of wood and air."""
    near = [other for other in others if abs(other.hz / pole.hz - 1.0) < 0.1] or list(others)
    weighted = system.mass @ pole.shape
    return max(near, key=lambda other: abs(other.shape @ weighted))


def _breathing(system: Coupled, free: tuple[Pole, ...]) -> Pole | None:
    """The motion that is most of all the air going in and out of the openings while the wood stands still."""
    stiff, mass = (np.real(part[system.wood :, system.wood :]) for part in system.near(1e-3))
    _, flows = eigh(stiff, mass)
    size = len(system.stiff) - system.wood
    pumped = np.abs(system.whole[0, system.wood :] @ flows[:size])
    weighted = mass[:size, :size] @ flows[:size, int(np.argmax(pumped))]
    return max(free, key=lambda pole: abs(pole.shape[system.wood :] @ weighted), default=None)
