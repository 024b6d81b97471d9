"""What a drum can still be tuned to, when one of its tongues cannot reach its note.

By the first-order map alone: how far each tongue can be lowered and raised if every bore that its wood still allows
were made, taken with caution. From that follow the nearest note that the tongue by itself can reach, and how far all
tongues must go up or down together so that each can reach its place in the scale: another reference pitch, or a
scale so many semitones off. Only an offer: it is not solved, and tapping on the way says whether it holds.

Cents, positive when sharp. Held by tests/tune/test_offer.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerftone.drum.design import Bore, Drum
from kerftone.modal.notes import read_notes
from kerftone.modal.result import Array
from kerftone.tune.belief import Belief
from kerftone.tune.bores import Spot, grid_map, spots, touch
from kerftone.tune.instrument import Instrument

CAUTION = 0.7
"""What share of all that the map promises is counted on: bores near each other act less than each alone."""
SEMITONE = 100.0
"""Cents in one."""
MOST_CENTS = 1200.0
"""An octave: farther is another drum; own judgement."""


@dataclass(frozen=True, kw_only=True)
class Offer:
    """What else could be had, in cents from the notes wanted now; None where nothing can.

    alone: the nearest semitone that the tongue itself can reach. together: the least common shift of all tongues;
    semitones: the nearest whole number of semitones for all.
    """

    alone: int | None
    together: float | None
    semitones: int | None


def reach(instrument: Instrument, state: Drum, belief: Belief) -> Array:
    """How far each tongue can still be lowered and raised by bores: (t, 2) cents, the first not above 0.

    Parameters
    ----------
    instrument : Instrument
        The model of this drum.
    state : Drum
        The drum as it stands now.
    belief : Belief
        What is believed of its pitches.
    """
    model = instrument.assembly(state, bottom_on=state.bottom is not None)
    found = np.zeros((len(state.tongues), 2))
    for number, note in enumerate(read_notes(state, model.modes())):
        free = spots(state, number, grid_map(state, number, model.bore_maps(number, note.mode)[0]))
        for column, way in enumerate((-1.0, 1.0)):
            found[number, column] = CAUTION * float(belief.action[number]) * _all_bores(state, free, way)
    return found


def _all_bores(state: Drum, free: Sequence[Spot], way: float) -> float:
    """What the bores do together that can stand side by side, the strongest taken first."""
    effects = sorted(
        ((spot.per_mm * (spot.deepest_mm - spot.now_mm), spot) for spot in free if spot.per_mm * way > 0.0),
        key=lambda one: -abs(one[0]),
    )
    made: list[Bore] = []
    total = 0.0
    for effect, spot in effects:
        if not any(touch(state, other, spot.x_mm, spot.y_mm, spot.bit_mm) for other in made):
            made.append(spot.bore(spot.deepest_mm))
            total += effect
    return total


def offer(number: int, belief: Belief, reaches: Array) -> Offer:
    """What this tongue by itself, and all together, could be tuned to instead.

    Parameters
    ----------
    number : int
        Which tongue, counted from 0.
    belief : Belief
        What is believed of its pitches.
    reaches : Array
        How far each can still be lowered and raised, (t, 2), in cents: see `reach`.
    """
    # A tongue at `cents` reaches every shift of its target from cents + lowest to cents + highest.
    low = belief.cents + reaches[:, 0] + belief.plus_minus
    high = belief.cents + reaches[:, 1] - belief.plus_minus
    all_low, all_high = float(low.max()), float(high.min())
    return Offer(
        alone=_semitones(float(low[number]), float(high[number])),
        together=None if all_low > all_high else _within(all_low, all_high),
        semitones=_semitones(all_low, all_high),
    )


def _within(low: float, high: float) -> float | None:
    """The shift nearest to none between these two, if any musician would call it the same drum."""
    nearest = min(max(0.0, low), high)
    return nearest if abs(nearest) <= MOST_CENTS else None


def _semitones(low: float, high: float) -> int | None:
    """The number of semitones nearest to none between these two, none itself left out."""
    first, last = math.ceil(low / SEMITONE), math.floor(high / SEMITONE)
    steps = [step for step in range(first, last + 1) if step and abs(step) * SEMITONE <= MOST_CENTS]
    return min(steps, key=abs, default=None)
