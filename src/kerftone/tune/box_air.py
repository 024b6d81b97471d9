"""Which notes of a drum would lie on the breathing of its box, on this wood and other, and how even in loudness.

Where a box breathes hangs on its size and on the length of its slots, hardly on who sits where; how much air a note
pushes hangs on its place. So the breathing is worked out once for a drum, and each arrangement judged by what its
notes push. On stiffer or lighter wood all tongues are longer, the slots too, and the gaps between facing tips
narrower: the breathing moves, while the notes stay. Held by tests/tune/test_box_air.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from kerftone.air.breathing import Breathing, breathing_of
from kerftone.air.near_breathing import NEAR
from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.tune.candidate import SURE

if TYPE_CHECKING:
    from kerftone.modal.search import Board

SHORTER = 0.94
"""How the breathing follows the tongues' lengths is read off tongues so many times as long: one standard deviation
of the wood, and no longer than the rows are known to hold."""
HEIGHT_STEP_MM = {"mm": 1.0, "in": 3.175}
"""In which steps a height of the box is told: a millimetre, or an eighth of an inch."""
HIGHEST, LOWEST = 1.3, 0.75
"""A box is made so many times as high at most and at least to take its breathing off the notes; own judgement:
beyond, its tones and its looks are another drum's."""


@dataclass(frozen=True, kw_only=True)
class BoxAir:
    """Where the box breathes, and how many times as high on each of some boards of other wood (boards,). sounds_hz
    (t,): the notes of the finished drum."""

    breathing: Breathing
    shifts: Array
    sounds_hz: tuple[float, ...]

    def power_db(self, lift: Array, volume: Array) -> Array:
        """How loud each note is just after a blow of 1 N s, from what its motion lifts the strike point and pushes
        (t,)."""
        return self.breathing.power_db(np.asarray(self.sounds_hz), lift, volume)

    def safe(self, volume: Array) -> float:
        """The share of boards on which no note that pushes air lies on the breathing; of one board, the drum's own,
        where there are no others."""
        hz = np.asarray(self.sounds_hz)
        found = [not self.breathing.lies_on(hz, volume, shift=s).any() for s in (*self.shifts, 1.0)]
        return float(np.mean(found[:-1] or found))


Breathes = Callable[[Drum], Breathing | None]
"""Where a drum breathes; None where it is open below."""


def box_air(drum: Drum, boards: Sequence[Board], breathes: Breathes = breathing_of) -> BoxAir | None:
    """The breathing of this drum, as its tongues are now; None where it is open below.

    Parameters
    ----------
    drum : Drum
        With places and lengths for all tongues, guessed ones will do.
    boards : Sequence[Board]
        Of other wood.
    breathes : Breathes, optional
        Asked where a drum breathes.
    """
    here = breathes(drum)
    if here is None:
        return None
    shifts = np.zeros(0)
    if boards:
        lengths = [SHORTER * (tongue.length_mm or 0.0) for tongue in drum.tongues]
        there = breathes(drum.with_lengths(tuple(lengths))) or here
        slope = math.log(there.hz / here.hz) / math.log(SHORTER)
        shifts = np.array([longer_by(board) ** slope for board in boards])
    return BoxAir(breathing=here, shifts=shifts, sounds_hz=tuple(drum.targets_hz))


def longer_by(board: Board) -> float:
    """How many times as long tongues of this wood are for the same notes."""
    return float((board.stiffness.get("top", 1.0) / board.density.get("top", 1.0)) ** 0.25)


@dataclass(frozen=True, kw_only=True)
class Height:
    """A height of the box (mm), where it then breathes (Hz), the note nearest to that (from 0) and how far off it is
    as a share, and on what share of so many boards all notes keep off it, whatever they push; of no boards, of its
    own."""

    mm: float
    breathing_hz: float
    nearest: int
    apart: float
    safe: float
    boards: int = 0


def clear_height(drum: Drum, boards: Sequence[Board], breathes: Breathes = breathing_of) -> Height | None:
    """The height of the box that keeps its breathing off the notes on most boards; None where it is open below.

    Of those that do on nine boards in ten the nearest to the drum's own, which may be that itself. Where none does,
    as with notes a whole tone apart, the one that keeps furthest off: then it is for the places to see that what lies
    near pushes no air.

    Parameters
    ----------
    drum : Drum
        With places and lengths for all tongues, guessed ones will do.
    boards : Sequence[Board]
        Of other wood.
    breathes : Breathes, optional
        Asked where a drum breathes.
    """
    air = box_air(drum, boards, breathes)
    if air is None:
        return None
    now, hz, step = drum.box.height_mm, np.asarray(air.sounds_hz), HEIGHT_STEP_MM[drum.units]
    taller = replace(drum, box=replace(drum.box, height_mm=HIGHEST * now))
    far = breathes(taller) or air.breathing
    slope = math.log(far.hz / air.breathing.hz) / math.log(HIGHEST)

    def at(mm: float) -> Height:
        there = air.breathing.hz * (mm / now) ** slope
        off = abs(hz[None, :] / (there * np.asarray([*air.shifts, 1.0]))[:, None] - 1.0)
        own = off[-1]
        safe = (off.min(axis=1) >= NEAR)[:-1]
        return Height(
            mm=mm,
            breathing_hz=there,
            nearest=int(own.argmin()),
            apart=float(own.min()),
            safe=float(safe.mean()) if safe.size else float(own.min() >= NEAR),
            boards=len(boards),
        )

    low, high = math.ceil(LOWEST * now / step), math.floor(HIGHEST * now / step)
    heights = [at(mm) for mm in (now, *(step * n for n in range(low, high + 1)))]
    return max(heights, key=lambda one: (min(one.safe, SURE), min(one.apart, NEAR), -abs(one.mm - now)))
