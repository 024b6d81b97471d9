"""How far the air moves each tongue's note, with the bottom as it is when a tongue is tapped.

Found once for each state of the bottom from a solve of the whole drum as first cut, and kept on the shelf. It is
taken as linear in how far the tongue has been tuned since: a note near the breathing comes nearer to it or goes away,
and then air does more or less to it. Else a bore changes how a tongue meets the air only a little (docs/bench.md says
how little). Cents, positive when air makes it sharper; air of a room of 20 °C.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.notes import read_notes
from kerftone.modal.result import Array
from kerftone.modal.shelf import Shelf, name_of
from kerftone.modal.threads import solver_threads, together
from kerftone.tune.history import Bottom

if TYPE_CHECKING:
    from kerftone.modal.solve import Solution

PULL_SHARE, PULL_CENTS = 0.2, 1.0
"""How far the step that air makes from one state of the bottom to another may be off: as a share of it, all tongues
together, and each tongue by itself. Own judgement."""
RAISED_CENTS, MOST_PER_CENT = 30.0, 0.5
"""How far all notes are taken to be raised when it is found out how air follows: what tongues are usually cut flat.
And the most that is made of it: a note on the breathing itself splits, and no line says that. Own judgement."""
BREATHING_CENTS = 50.0
"""How far the breathing may lie from where it is reckoned, against a note: warmth, leaks and wood move it by 3 % or
so. Air pulls each tongue otherwise by as much as it would if that were tuned so far. Own judgement."""
STATES: tuple[Bottom, ...] = ("glued", "loose", "off", "table")
"""The states of the bottom."""
CENTS, PER_CENT = "cents", "per cent"
NO_SHELF = Shelf()


@dataclass(frozen=True, kw_only=True)
class AirMoves:
    """How far air moves each tongue of a drum as first cut, cents (t,), and how much further for each cent that the
    tongue is raised from there, per_cent (t,)."""

    cents: Array
    per_cent: Array


@dataclass(frozen=True, kw_only=True)
class BenchAir:
    """The air round a drum at the bench. bottoms: the states in which it was, or will be, tapped; the shelf keeps."""

    bottoms: tuple[Bottom, ...] = ()
    shelf: Shelf = NO_SHELF

    def kept(self, wood: Drum, bottom: Bottom, plate_mm: float) -> AirMoves | None:
        """What was found before; None if the shelf has nothing.

        Parameters
        ----------
        wood : Drum
            The drum as far as its wood moves together.
        bottom : Bottom
            The state of its bottom.
        plate_mm : float
            How thick a bottom is that may be put in, in mm; 0 without one.
        """
        arrays = self.shelf.arrays(_name(wood, bottom, plate_mm)) or {}
        found = [arrays.get(part) for part in (CENTS, PER_CENT)]
        if any(part is None or part.shape != (len(wood.tongues),) for part in found):
            return None
        return AirMoves(cents=arrays[CENTS], per_cent=arrays[PER_CENT])

    def found(self, solution: Solution, bottom: Bottom, plate_mm: float) -> AirMoves:
        """How far air moves each tongue's note: worked out from this solve, and kept.

        Parameters
        ----------
        solution : Solution
            The wood that moves together, solved whole.
        bottom : Bottom
            The state of the bottom.
        plate_mm : float
            How thick a bottom is that may be put in, in mm; 0 without one.
        """
        plate = plate_mm if bottom == "loose" else 0.0
        with solver_threads():
            works = [partial(_shifts, one, bottom, plate) for one in (solution, raised(solution))]
            cents, further = together(works)
        per_cent = np.clip((further - cents) / RAISED_CENTS, -MOST_PER_CENT, MOST_PER_CENT)
        self.shelf.keep_arrays(_name(solution.drum, bottom, plate_mm), {CENTS: cents, PER_CENT: per_cent})
        return AirMoves(cents=cents, per_cent=per_cent)


def _shifts(solution: Solution, bottom: Bottom, plate_mm: float) -> Array:
    """How far air moves each tongue's note, in cents (t,)."""
    from kerftone.air.answer import in_air
    from kerftone.air.notes_in_air import tongues_in_air
    from kerftone.air.place import BottomState

    air = in_air(solution, BottomState(bottom), plate_mm=plate_mm, notes_only=True)
    return np.array([one.shift_cents for one in tongues_in_air(solution.drum, solution.modes(), air)])


def raised(solution: Solution) -> Solution:
    """The same drum with every tongue's note `RAISED_CENTS` higher: near enough what boring near the tips does.

    Wood taken from a tip raises a note by what moves less, so that the same shape, for the same energy, swings wider
    by as much as the note is higher, and meets that much more air. A bore near a root lowers a note without that:
    then the air is taken to follow too much, by a quarter of a cent for 20 cents where air does 10.
    """
    own = sorted({note.mode for note in read_notes(solution.drum, solution.modes())})
    values, shapes = solution.values.copy(), solution.shapes.copy()
    higher = 2.0 ** (RAISED_CENTS / 1200.0)
    values[own] *= higher**2
    shapes[own] *= higher
    return replace(solution, values=values, shapes=shapes)


def own_doubts(steeper: Array) -> Array:
    """How far air's pull may be off for each tongue by itself, in cents (t,).

    Parameters
    ----------
    steeper : Array
        How much more air follows each tongue, for each cent, in this state than in the finished drum (t,).
    """
    return np.asarray(np.hypot(PULL_CENTS, BREATHING_CENTS * steeper))


def finished(drum: Drum) -> Bottom:
    """How the bottom is in the finished drum: glued on, or off where it has none."""
    return "off" if drum.bottom is None else "glued"


def wood_of(drum: Drum, bottom: Bottom) -> Drum:
    """The drum as far as its wood moves together: without a bottom that is not glued on."""
    return drum if bottom == "glued" else replace(drum, bottom=None)


@dataclass(frozen=True, kw_only=True)
class Pulled:
    """How far each tongue sounds above the finished drum's while bottom and top are so: cents ± plus_minus (t,).

    aim_cents, aim_plus_minus (t,): the same once it is tuned to its note, which is what to tune to: a tongue tuned
    past a tone of the box is pulled otherwise than before.
    """

    bottom: Bottom
    top_glued: bool = True
    cents: Array
    plus_minus: Array
    aim_cents: Array
    aim_plus_minus: Array

    def tune_to(self, tongue: int, target_hz: float) -> dict[str, Any]:
        """What to tune a tongue to now, so that it sounds its note in the finished drum; as JSON.

        Parameters
        ----------
        tongue : int
            Which, counted from 0.
        target_hz : float
            Its note, in Hz.
        """
        return {
            "bottom": self.bottom,
            **({} if self.top_glued else {"top": "clamped"}),
            "tune_to_hz": round(target_hz * 2.0 ** (float(self.aim_cents[tongue]) / 1200.0), 3),
            "finished_plus_minus_cents": round(float(self.aim_plus_minus[tongue]), 3),
        }


def _name(wood: Drum, bottom: Bottom, plate_mm: float) -> str:
    return name_of("pull of the air", wood, bottom, plate_mm)
