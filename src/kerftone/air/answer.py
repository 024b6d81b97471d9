"""What a solved drum does in air: one solution of its wood, coupled with the air in and round it.

Numbers are those of air without friction, so that what is lost is sound and nothing else; what friction in the slots
adds is told beside them. What the tongues then sound is read in `notes.py`. SI inside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh
from threadpoolctl import threadpool_limits

from kerftone.air.coupled import Coupled, coupled
from kerftone.air.held import Hold, hold_under
from kerftone.air.medium import Medium, air_at
from kerftone.air.notes_in_air import InAir
from kerftone.air.place import BottomState, place_of
from kerftone.air.poles import Pole, poles
from kerftone.air.wood import pushed
from kerftone.drum.shop import On
from kerftone.modal.notes import read_notes
from kerftone.modal.result import Modes
from kerftone.modal.solve import Solution
from kerftone.modal.surface import Motions, motions_of

Array = NDArray[np.floating[Any]]
OVER_NOTES = 1.5
"""The air outside is worked out up to this many times the highest note at the least, and to the highest motion."""


def in_air(
    solution: Solution,
    state: BottomState,
    medium: Medium | None = None,
    *,
    plate_mm: float = 0.0,
    on: On = "nothing",
    notes_only: bool = False,
) -> InAir:
    """What this drum does in air, with its bottom in this state.

    Held by tests/air/test_reference.py against finite elements for wood and air, and by tests of each part.

    Parameters
    ----------
    solution : Solution
        Of the wood that then moves together: with the bottom for "glued", without it for all others.
    state : BottomState
        How the box is closed below.
    medium : Medium, optional
        The air; that of a room of 20 °C if not said.
    plate_mm : float, optional
        How thick a bottom is that is put in but not joined, in mm.
    on : On, optional
        What it stands on; feet and a lap hold the wood of a drum that was solved standing free.
    notes_only : bool, optional
        Whether all that is asked is how far air moves the notes: in half the time, without motions far above them,
        and without what friction in the slots adds, which is told as none.
    """
    notes = read_notes(solution.drum, solution.modes())
    highest = max(note.hz for note in notes)
    over = OVER_NOTES * highest
    up_to = over if notes_only else 1.01 * float(solution.hz[-1])
    motions, hold, system = _together(
        solution, state, medium, plate_mm=plate_mm, on=on, up_to_hz=max(over, up_to)
    )
    with threadpool_limits(1):
        free = poles(replace(system, friction=False), near_hz=highest, up_to_hz=up_to)
        twins = free if notes_only else _rubbed(system, free, highest, up_to)
        breathing = _breathing(system, free) if state is not BottomState.OFF else -1
    shapes = np.array([np.copysign(np.abs(pole.shape), pole.shape.real) for pole in free])
    heard = np.array([system.outer.heard(pole.omega.real) @ pole.shape for pole in free])
    parts = shapes[:, : system.wood]
    own = parts[:, : len(solution.values)]
    return InAir(
        modes=Modes(
            hz=np.array([pole.hz for pole in free]),
            strike=motions.strike @ parts.T,
            sweep=motions.sweep @ parts.T,
            volume=shapes @ system.volume,
            unknowns=solution.space.unknowns,
            seconds=solution.seconds,
        ),
        q=np.array([pole.q for pole in free]),
        q_rubbed=np.array([twin.q for twin in twins]),
        rubbed_hz=np.array([twin.hz for twin in twins]),
        holding=np.array([hold.loss_of(pole.shape[: system.wood], pole.omega.real) for pole in free]),
        ear=np.copysign(np.abs(heard), heard.real),
        parts=own,
        owns=np.array([int((own[:, note.mode] ** 2).argmax()) for note in notes]),
        breathing=breathing,
    )


@dataclass(frozen=True, kw_only=True)
class Retuned:
    """Wood and air together, to be asked where tongues are tuned otherwise.

    own, alone_hz (t,): the mode of the wood that is each tongue's note, and what it sounds in vacuo.
    """

    system: Coupled
    own: Sequence[int]
    alone_hz: Array

    def shifts(self, cents: Array) -> Array:
        """How far air moves each tongue's note, in cents, where the wood's notes are so many cents higher (t,).

        As by wood taken from a tip: what moves is lighter and bends as before, so that it swings wider for the same
        energy and meets more air. A bore near a root lowers a note without that: then the air is taken to follow too
        much, by a quarter of a cent for 20 cents where air does 10. Of two motions that share a note near the
        breathing, the one with the greater part is the note. Held by tests/air/test_answer.py.
        """
        pitches = self.alone_hz * 2.0 ** (cents / 1200.0)
        mass = self.system.mass.copy()
        mass[self.own, self.own] += 2.0 ** (-cents / 600.0) - 1.0
        highest = float(pitches.max())
        with threadpool_limits(1):
            free = poles(replace(self.system, mass=mass), near_hz=highest, up_to_hz=OVER_NOTES * highest)
        parts = np.abs([pole.shape[list(self.own)] for pole in free])
        hz = np.array([pole.hz for pole in free])[parts.argmax(axis=0)]
        return np.asarray(1200.0 * np.log2(hz / pitches))


def retuned(
    solution: Solution, state: BottomState, medium: Medium | None = None, *, plate_mm: float = 0.0
) -> Retuned:
    """A drum in air whose tongues may be tuned otherwise than solved.

    Parameters
    ----------
    solution : Solution
        Of the wood that moves together.
    state : BottomState
        How the box is closed below.
    medium : Medium, optional
        The air; that of a room of 20 °C if not said.
    plate_mm : float, optional
        How thick a bottom is that is put in but not joined, in mm.
    """
    notes = read_notes(solution.drum, solution.modes())
    over = OVER_NOTES * max(note.hz for note in notes)
    _, _, system = _together(solution, state, medium, plate_mm=plate_mm, on="nothing", up_to_hz=over)
    return Retuned(
        system=replace(system, friction=False),
        own=[note.mode for note in notes],
        alone_hz=np.array([note.hz for note in notes]),
    )


def _together(
    solution: Solution,
    state: BottomState,
    medium: Medium | None,
    *,
    plate_mm: float,
    on: On,
    up_to_hz: float,
) -> tuple[Motions, Hold, Coupled]:
    """The motions of this wood, what holds it, and both with the air.

    Parameters
    ----------
    solution : Solution
        Of the wood that moves together.
    state : BottomState
        How the box is closed below.
    medium : Medium or None
        The air; that of a room of 20 °C if not said.
    plate_mm : float
        How thick a bottom is that is put in but not joined, in mm.
    on : On
        What it stands on.
    up_to_hz : float
        Up to where the air outside is worked out.
    """
    place = place_of(solution.drum, state, plate_mm=plate_mm, on=on)
    with threadpool_limits(1):
        motions = motions_of(solution)
        hold = hold_under(motions, on)
        system = coupled(
            place,
            medium or air_at(),
            np.diag(motions.squares) + hold.stiff,
            pushed(motions, place),
            up_to_hz=up_to_hz,
        )
    return motions, hold, system


def _rubbed(system: Coupled, free: tuple[Pole, ...], near_hz: float, up_to_hz: float) -> tuple[Pole, ...]:
    """Each of these motions with friction in the slots, looked for as they were."""
    rubbed = poles(replace(system, friction=True), near_hz=near_hz, up_to_hz=up_to_hz)
    return tuple(_twin(pole, rubbed, system) for pole in free)


def _twin(pole: Pole, others: tuple[Pole, ...], system: Coupled) -> Pole:
    """The same motion among others: the most alike in the mass of wood and air."""
    near = [other for other in others if abs(other.hz / pole.hz - 1.0) < 0.1] or list(others)
    weighted = system.mass @ pole.shape
    return max(near, key=lambda other: abs(other.shape @ weighted))


def _breathing(system: Coupled, free: tuple[Pole, ...]) -> int:
    """The motion that is most of all the air going in and out of the openings while the wood stands still."""
    stiff, mass = (np.real(part[system.wood :, system.wood :]) for part in system.near(1e-3))
    _, flows = eigh(stiff, mass)
    size = len(system.stiff) - system.wood
    pumped = np.abs(system.whole[0, system.wood :] @ flows[:size])
    weighted = mass[:size, :size] @ flows[:size, int(np.argmax(pumped))]
    return int(np.argmax([abs(pole.shape[system.wood :] @ weighted) for pole in free]))
