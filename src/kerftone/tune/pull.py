"""How far the air moves each tongue's note, with the bottom as it is when a tongue is tapped.

Found once for each state of the bottom from a solve of the whole drum as first cut, and kept on the shelf: over the
pitch that a tongue's wood has, for a note near the breathing comes nearer to it or goes away as it is tuned, and past
it air pushes the other way. The tongues of a real drum sound higher or lower than the solve to begin with, and the
breathing does not move with them. Else a bore changes how a tongue meets the air only a little (docs/bench.md).
Cents, positive when air makes it sharper; air of a room of 20 °C.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.modal.shelf import Shelf, name_of
from kerftone.modal.threads import solver_threads
from kerftone.tune.history import Bottom

if TYPE_CHECKING:
    from kerftone.modal.solve import Solution

PULL_SHARE, PULL_CENTS = 0.2, 1.0
"""How far the step that air makes from one state of the bottom to another may be off: as a share of it, all tongues
together, and each tongue by itself. Own judgement."""
TUNED_CENTS = np.arange(-320.0, 321.0, 40.0)
"""At which pitches, against those solved, air is worked out: what wood and tuning may move a note by. Between them
straight lines, off by 0.4 cents a semitone from the breathing."""
MOST_PER_CENT = 0.5
"""The most that air is taken to follow a tongue: a note on the breathing itself splits. Own judgement."""
BREATHING_CENTS = 50.0
"""How far the breathing may lie from where it is reckoned, against a note: warmth, leaks and wood move it by 3 % or
so. Air pulls each tongue otherwise by as much as it would if that were tuned so far. Own judgement."""
STATES: tuple[Bottom, ...] = ("glued", "loose", "off", "table")
"""The states of the bottom."""
HZ, CENTS = "hz", "cents"
NO_SHELF = Shelf()


@dataclass(frozen=True, kw_only=True)
class AirMoves:
    """How far air moves each tongue's note, by what its wood sounds.

    hz (t,): what it sounds in the solve. cents (k, t): how far air moves it where that is `TUNED_CENTS` (k,) higher.
    """

    hz: Array
    cents: Array

    def by(self, hz: Array) -> Array:
        """How far, in cents (t,), where each tongue's wood sounds so many Hz (t,)."""
        tuned = 1200.0 * np.log2(np.asarray(hz) / self.hz)
        pairs = zip(tuned, self.cents.T, strict=True)
        return np.array([np.interp(at, TUNED_CENTS, moved) for at, moved in pairs])

    def per_cent(self, hz: Array) -> Array:
        """How much further for each cent that a tongue is tuned higher (t,), `BREATHING_CENTS` to both sides."""
        above, below = (self.by(hz * 2.0 ** (side * BREATHING_CENTS / 1200.0)) for side in (1.0, -1.0))
        return np.clip((above - below) / (2.0 * BREATHING_CENTS), -MOST_PER_CENT, MOST_PER_CENT)


def no_air(hz: Array) -> AirMoves:
    """In vacuo."""
    return AirMoves(hz=hz, cents=np.zeros((len(TUNED_CENTS), len(hz))))


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
        hz, cents = arrays.get(HZ), arrays.get(CENTS)
        count = len(wood.tongues)
        if hz is None or cents is None or hz.shape != (count,) or cents.shape != (len(TUNED_CENTS), count):
            return None
        return AirMoves(hz=hz, cents=cents)

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
        from kerftone.air.answer import retuned
        from kerftone.air.place import BottomState

        plate = plate_mm if bottom == "loose" else 0.0
        with solver_threads():
            asked = retuned(solution, BottomState(bottom), plate_mm=plate)
            cents = np.array([asked.shifts(np.full(len(asked.own), by)) for by in TUNED_CENTS])
        hz = asked.alone_hz
        self.shelf.keep_arrays(_name(solution.drum, bottom, plate_mm), {HZ: hz, CENTS: cents})
        return AirMoves(hz=hz, cents=cents)


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
    return name_of("pull of the air by pitch", wood, bottom, plate_mm)
