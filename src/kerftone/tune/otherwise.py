"""What to do to a tongue that no bore can safely help: trim its tip to raise it, or weight it to lower it.

Both are tried on the frame-and-tongues model like a bore, and held to the same chance of passing the far side. A
trimmed tip leaves a wider gap and cannot be put back, so it comes only after bores; a weight (a disc of metal glued
under the tip) can be taken off again. Lengths in mm, masses in grams, cents positive when sharp.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kerftone.drum.check import MIN_TONGUE_LENGTH_MM
from kerftone.drum.design import Drum
from kerftone.modal.frame import Assembly
from kerftone.modal.notes import read_notes
from kerftone.modal.result import Array
from kerftone.pitch import cents
from kerftone.tune.history import Trimmed, Weighted, after
from kerftone.tune.trial import OVERSHOOT, WORTH_CENTS, Need

TRIM_STEP_MM, MOST_TRIM_MM, TRIM_ERROR_MM = 0.5, 4.0, 0.2
WEIGHT_STEP_G, MOST_WEIGHT_G, WEIGHT_ERROR_G = 0.5, 8.0, 0.1
MODEL_SHARE = 0.08
"""How far the model may be off in what such a step does, as a share: as for bores."""


@dataclass(frozen=True, kw_only=True)
class OtherStep:
    """A trim or a weight, how much of it (mm or g), and what it does to its tongue and to all (cents)."""

    change: Trimmed | Weighted
    effect: float
    spread: float
    over: float
    moved: Array

    @property
    def by(self) -> float:
        """How many mm to trim, or how many grams to fix."""
        return self.change.by_mm if isinstance(self.change, Trimmed) else self.change.grams


def other_step(model: Assembly, state: Drum, need: Need) -> OtherStep | None:
    """The largest safe trim or weight that does not do more than is wanted; None if none is worth while."""
    raising = need.way > 0.0
    step, most, error = (
        (TRIM_STEP_MM, MOST_TRIM_MM, TRIM_ERROR_MM)
        if raising
        else (WEIGHT_STEP_G, MOST_WEIGHT_G, WEIGHT_ERROR_G)
    )
    if raising:
        length = state.tongues[need.number].length_mm or 0.0
        most = min(most, length - MIN_TONGUE_LENGTH_MM)
    sizes = step * np.arange(1, math.floor(most / step + 1e-9) + 1)
    if not len(sizes):
        return None
    middle = float(sizes[len(sizes) // 2])
    per_one = _moved(model, state, _change(need, middle)) / middle
    for size in sizes[::-1]:
        effect = float(per_one[need.number] * size)
        spread = abs(effect) * math.hypot(MODEL_SHARE, error / float(size))
        _, _, over = need.after(np.array([effect]), np.array([spread]))
        if abs(effect) > abs(need.wanted) or over[0] > OVERSHOOT:
            continue
        if abs(effect) < WORTH_CENTS:
            return None
        change = _change(need, float(size))
        moved = _moved(model, state, change)
        if need.carried_over(moved) <= OVERSHOOT:
            own = float(moved[need.number])
            return OtherStep(change=change, effect=own, spread=spread, over=float(over[0]), moved=moved)
    return None


def _change(need: Need, size: float) -> Trimmed | Weighted:
    if need.way > 0.0:
        return Trimmed(tongue=need.number, by_mm=size)
    return Weighted(tongue=need.number, grams=size)


def _moved(model: Assembly, state: Drum, change: Trimmed | Weighted) -> Array:
    """How far each tongue's note moves when this is done, in cents."""
    drum = after(state, [change])
    before = [note.hz for note in read_notes(state, model.modes())]
    done = [note.hz for note in read_notes(drum, model.with_drum(drum).modes())]
    return np.array([cents(one, other) for one, other in zip(done, before, strict=True)])
