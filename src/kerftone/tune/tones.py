"""Which tongues no tuning of their wood would let sound their notes: a tone of the box lies in the way.

Where a tone of the box comes near a tongue's note, two modes share the tongue. As the tongue is tuned past the
tone, the louder of the two changes from the one below to the one above, and the pitch jumps over a gap. A note
within that gap cannot be had by any bore. Where exactly the box's tone lies is only known to the scatter of the
box's wood against the top's, so the question is asked of a drum with a softer and a stiffer box too, and the answer
is a chance.

Cents, positive when sharp. Held by tests/tune/test_tones.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerftone.modal.detuned import Detuned
from kerftone.modal.notes import RIVAL, notes_moved, weights
from kerftone.modal.result import Array
from kerftone.tune.instrument import BOX_SCATTER, tuning

NEAR_CENTS = 200.0
"""A tone further from a note than this does not share its tongue."""
BOXES = (-2.0, -1.0, 0.0, 1.0, 2.0)
"""The boxes that are tried, in standard deviations of their stiffness against the top's; each weighs as its
density."""
ABOUT_CENTS, STEP_CENTS = 60.0, 4.0
"""How far to both sides of where its note should be a tongue is tuned, and in what steps."""
PER_OCTAVE = 600.0
"""Cents that a tongue's own note rises when its wood is twice as stiff, were it clamped hard."""


@dataclass(frozen=True, kw_only=True)
class Tone:
    """A tone of the box near a tongue's note: how many cents above it, and the chance that it keeps the note away."""

    apart_cents: float
    chance: float


def near_tone(model: Detuned, tongue: int, wanted: Array, tolerance: float) -> Tone | None:
    """The tone of the box that lies nearest this tongue's note once each is moved by `wanted` (t,) cents.

    None when there is none within `NEAR_CENTS` whatever the box's wood.
    """
    shares, found = np.exp(-0.5 * np.square(BOXES)), []
    for deviation in BOXES:
        boxed = model.changed(math.exp(BOX_SCATTER * deviation)) if deviation else model
        # The box is another, the notes heard are the same: first back to them, then to the notes wanted.
        back = (
            tuning(boxed, wanted - notes_moved(model.modes, boxed.modes))
            if deviation
            else tuning(model, wanted)
        )
        found.append(_seen(boxed, back, tongue, _target_hz(model, tongue, wanted), tolerance))
    near = [(apart, share) for (apart, _), share in zip(found, shares, strict=True) if apart is not None]
    if not near:
        return None
    usual = found[len(BOXES) // 2][0]
    apart = usual if usual is not None else min((one for one, _ in near), key=abs)
    barred = sum(share for (_, can), share in zip(found, shares, strict=True) if not can)
    return Tone(apart_cents=apart, chance=float(barred / shares.sum()))


def _target_hz(model: Detuned, tongue: int, wanted: Array) -> float:
    return float(model.heard_hz(tongue) * 2.0 ** (float(wanted[tongue]) / 1200.0))


def _seen(
    model: Detuned, tuned: Array, tongue: int, target_hz: float, tolerance: float
) -> tuple[float | None, bool]:
    """How far above its note the nearest tone of the box lies, if any does; whether the note can be had at all."""
    placed = model.changed(1.0, tuned)
    apart = _apart(placed, tongue, target_hz)
    if apart is None:
        return None, True
    heard = []
    for by in np.arange(-ABOUT_CENTS, ABOUT_CENTS + STEP_CENTS, STEP_CENTS):
        own = np.ones(len(tuned))
        own[tongue] = 2.0 ** (
            2.0 * by / PER_OCTAVE
        )  # a note feels about half of its tongue's stiffness, or less
        heard.append(1200.0 * math.log2(placed.changed(1.0, own).heard_hz(tongue) / target_hz))
    return apart, _passes(heard, tolerance)


def _passes(heard: Sequence[float], tolerance: float) -> bool:
    """Whether the pitch comes within the tolerance of 0 somewhere; a jump has nothing between its ends."""
    steps = np.diff(heard)
    usual = float(np.median(abs(steps)))
    for low, high in pairwise(heard):
        if min(abs(low), abs(high)) <= tolerance or (low * high <= 0.0 and abs(high - low) <= 4.0 * usual):
            return True
    return False


def _apart(model: Detuned, tongue: int, target_hz: float) -> float | None:
    """How far above its note the nearest tone lies that is no tongue's own and sounds when this one is struck."""
    loud = weights(model.modes)
    owned = set(np.argmax(loud, axis=1).tolist())
    note = int(np.argmax(loud[tongue]))
    apart = 1200.0 * np.log2(np.maximum(model.modes.hz, 1e-9) / target_hz)
    heard = (loud[tongue] >= RIVAL * loud[tongue, note]) & (abs(apart) <= NEAR_CENTS)
    near = [float(apart[mode]) for mode in np.flatnonzero(heard) if int(mode) not in owned]
    return min(near, key=abs, default=None)
