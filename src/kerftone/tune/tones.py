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
from kerftone.tune.boxes import (
    BOX_DEVIATIONS,
    BOX_SCATTER,
    LEAST_SHARE,
    LIKELY,
    MIDDLE,
    OCTAVE_CENTS,
    brought,
)
from kerftone.tune.instrument import OWN_CENTS
from kerftone.tune.pull import BREATHING_CENTS, TUNED_CENTS, AirMoves

NEAR_CENTS = 200.0
"""A tone further from a note than this does not share its tongue."""
ABOUT_CENTS, STEP_CENTS = 240.0, 12.0
"""How far to both sides of where its note should be a tongue is tuned, and in what steps."""
HOP_CENTS, FELT = 15.0, 0.1
"""Where air moves a note so much further up from one of the pitches at which it is worked out to the next, the note
has passed the breathing. And the least chance at which that is spoken of. Own judgement."""
SEEN = 0.2
"""A tone is spoken of when it is near with this share of the woods that the box may be of."""


@dataclass(frozen=True, kw_only=True)
class Tone:
    """A tone of the box near a tongue's note: how many cents above it, and the chance that it keeps the note away.

    breathing: it is the box's breathing, and not a tone of its wood.
    """

    apart_cents: float
    chance: float
    breathing: bool = False


@dataclass(frozen=True, kw_only=True)
class _Case:
    """One box that the drum may have, how likely by itself and by what was heard, its tongues where they are
    wanted."""

    likely: float
    placed: Detuned


def near_tones(model: Detuned, tongues: Sequence[int], wanted: Array, tolerance: float) -> dict[int, Tone]:
    """The tones of the box that lie nearest these tongues' notes once each is moved by `wanted` (t,) cents.

    A tongue that has no tone within `NEAR_CENTS` but with few of the woods that the box may be of is left out.

    Parameters
    ----------
    model : Detuned
        The drum as it stands, whose parts can be made stiffer or less stiff.
    tongues : Sequence[int]
        Counted from 0.
    wanted : Array
        How far each is to be moved, (t,), in cents.
    tolerance : float
        Half the width of the band that counts as in tune, in cents.
    """
    cases = [_case(model, float(deviation), wanted) for deviation in BOX_DEVIATIONS] if tongues else []
    found = {}
    for tongue in tongues:
        target = model.heard_hz(tongue) * 2.0 ** (float(wanted[tongue]) / 1200.0)
        near = [(case, apart) for case in cases if (apart := _apart(case.placed, tongue, target)) is not None]
        if sum(case.likely for case, _ in near) < SEEN * sum(case.likely for case in cases):
            continue
        _, apart = max(near, key=lambda one: one[0].likely)
        barred = sum(
            case.likely for case, _ in near if not _can_sound(case.placed, tongue, target, tolerance)
        )
        found[tongue] = Tone(apart_cents=apart, chance=barred / sum(case.likely for case in cases))
    return found


def breathing_tones(
    air: AirMoves, wood_hz: Array, wanted: Array, tolerance: float
) -> tuple[Tone | None, ...]:
    """For each tongue the breathing, where it may keep it from its note: a note that is tuned past it jumps over it.

    Parameters
    ----------
    air : AirMoves
        What air does in the finished drum.
    wood_hz : Array
        What the wood of each tongue sounds now, in Hz (t,).
    wanted : Array
        How far each note is to be moved, (t,), in cents.
    tolerance : float
        Half the width of the band that counts as in tune, in cents.
    """
    notes = 1200.0 * np.log2(wood_hz / air.hz) + air.by(wood_hz) + wanted
    found: list[Tone | None] = []
    for note, moved in zip(notes, air.cents.T, strict=True):
        hops = np.flatnonzero(np.diff(moved) > HOP_CENTS)
        where = 0.5 * (TUNED_CENTS[hops] + TUNED_CENTS[hops + 1])[:, None] + BREATHING_CENTS * BOX_DEVIATIONS
        low, high = where + moved[hops][:, None], where + moved[hops + 1][:, None]
        kept = ((low + tolerance < note) & (note < high - tolerance)).any(axis=0)
        chance = float(LIKELY @ kept)
        middle = 0.5 * (low + high)[:, MIDDLE] - note
        near = float(middle[abs(middle).argmin()]) if len(hops) else 0.0
        found.append(Tone(apart_cents=near, chance=chance, breathing=True) if chance > FELT else None)
    return tuple(found)


def _case(model: Detuned, deviation: float, wanted: Array) -> _Case:
    """The drum with this box: first its tongues back to what was heard, then to the notes wanted.

    What each tongue's own wood must be for that says how likely the box is.
    """
    boxed = model.changed(math.exp(BOX_SCATTER * deviation))
    moved = notes_moved(model.modes, boxed.modes)
    back = boxed.changed(1.0, brought(boxed, -moved))
    own = OCTAVE_CENTS * back.shares() * np.log2(back.factors)
    misfit = np.square((own - own.mean()) / OWN_CENTS).sum()
    placed = boxed.changed(1.0, brought(boxed, wanted - moved))
    return _Case(likely=math.exp(-0.5 * (deviation**2 + float(misfit))), placed=placed)


def _can_sound(placed: Detuned, tongue: int, target_hz: float, tolerance: float) -> bool:
    """Whether this tongue sounds its note with any tuning of its own wood, the others where they are."""
    heard = []
    per_octave = OCTAVE_CENTS * max(float(placed.shares()[tongue]), LEAST_SHARE)
    for by in np.arange(-ABOUT_CENTS, ABOUT_CENTS + STEP_CENTS, STEP_CENTS):
        own = np.ones(len(placed.tongues))
        own[tongue] = 2.0 ** (by / per_octave)
        heard.append(1200.0 * math.log2(placed.changed(1.0, own).heard_hz(tongue) / target_hz))
    return _passes(heard, tolerance)


def _passes(heard: Sequence[float], tolerance: float) -> bool:
    """Whether the pitch comes within the tolerance of 0 somewhere; a jump has nothing between its ends.

    Where the sweep does not reach from one side of it to the other nothing is shown, and it is taken to come there.
    """
    if min(heard) > -tolerance or max(heard) < tolerance:
        return True
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
