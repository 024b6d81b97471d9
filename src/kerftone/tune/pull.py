"""How far the air moves each tongue's note, with the bottom as it is when a tongue is tapped.

Found once for each state of the bottom from a solve of the whole drum as first cut, and kept on the shelf. It is
taken as constant from then on: a bore changes the tongue, and with it how it meets the air, only a little
(docs/bench.md says how little). Cents, positive when air makes it sharper; air of a room of 20 °C.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.modal.shelf import Shelf, name_of
from kerftone.tune.history import Bottom

if TYPE_CHECKING:
    from kerftone.modal.solve import Solution

PULL_SHARE, PULL_CENTS = 0.2, 1.0
"""How far the step that air makes from one state of the bottom to another may be off: as a share of it, all tongues
together, and each tongue by itself. Own judgement."""
CENTS = "cents"
NO_SHELF = Shelf()


@dataclass(frozen=True, kw_only=True)
class BenchAir:
    """The air round a drum at the bench. bottoms: the states in which it was, or will be, tapped; the shelf keeps."""

    bottoms: tuple[Bottom, ...] = ()
    shelf: Shelf = NO_SHELF

    def kept(self, wood: Drum, bottom: Bottom, plate_mm: float) -> Array | None:
        """What was found before, in cents (t,); None if the shelf has nothing.

        Parameters
        ----------
        wood : Drum
            The drum as far as its wood moves together.
        bottom : Bottom
            The state of its bottom.
        plate_mm : float
            How thick a bottom is that may be put in, in mm; 0 without one.
        """
        arrays = self.shelf.arrays(_name(wood, bottom, plate_mm))
        found = None if arrays is None else arrays.get(CENTS)
        return found if found is not None and found.shape == (len(wood.tongues),) else None

    def found(self, solution: Solution, bottom: Bottom, plate_mm: float) -> Array:
        """How far air moves each tongue's note, in cents (t,): worked out from this solve, and kept.

        Parameters
        ----------
        solution : Solution
            The wood that moves together, solved whole.
        bottom : Bottom
            The state of the bottom.
        plate_mm : float
            How thick a bottom is that may be put in, in mm; 0 without one.
        """
        from kerftone.air.answer import in_air, tongues_in_air
        from kerftone.air.place import BottomState

        drum = solution.drum
        air = in_air(solution, BottomState(bottom), plate_mm=plate_mm if bottom == "loose" else 0.0)
        cents = np.array([one.shift_cents for one in tongues_in_air(drum, solution.modes(), air)])
        self.shelf.keep_arrays(_name(drum, bottom, plate_mm), {CENTS: cents})
        return cents


def finished(drum: Drum) -> Bottom:
    """How the bottom is in the finished drum: glued on, or off where it has none."""
    return "off" if drum.bottom is None else "glued"


def wood_of(drum: Drum, bottom: Bottom) -> Drum:
    """The drum as far as its wood moves together: without a bottom that is not glued on."""
    return drum if bottom == "glued" else replace(drum, bottom=None)


@dataclass(frozen=True, kw_only=True)
class Pulled:
    """How far each tongue sounds above the finished drum's while the bottom is so: cents ± plus_minus (t,)."""

    bottom: Bottom
    cents: Array
    plus_minus: Array

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
            "tune_to_hz": round(target_hz * 2.0 ** (float(self.cents[tongue]) / 1200.0), 3),
            "finished_hz": round(target_hz, 3),
            "finished_plus_minus_cents": round(float(self.plus_minus[tongue]), 3),
        }


def _name(wood: Drum, bottom: Bottom, plate_mm: float) -> str:
    return name_of("pull of the air", wood, bottom, plate_mm)
