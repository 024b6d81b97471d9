"""What to do to a tongue that no bore can safely help: trim its tip, lengthen its slots, or weight it.

Each is tried on the model like a bore and held to the same chance of passing the far side. None is as gentle as a
bore: a trimmed tip leaves a wider gap, a longer slot weakens the strip at the root and lets the neighbours move too,
and neither can be put back; so they come only after bores. A weight (a disc of metal glued under the tip) can be
taken off again, and comes last for want of metal at most benches. Lengths in mm, masses in grams, cents positive
when sharp. Held by tests/tune/test_advise.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kerftone.drum.check import MIN_TONGUE_LENGTH_MM, check_outline
from kerftone.drum.design import Drum
from kerftone.errors import OutlineError
from kerftone.modal.result import Array
from kerftone.tune.history import FILED_MM, Lengthened, Trimmed, Weighted, after
from kerftone.tune.instrument import Instrument
from kerftone.tune.trial import OVERSHOOT, WORTH_CENTS, Need

Other = Lengthened | Trimmed | Weighted
MODEL_SHARE = 0.08
"""How far the model may be off in what such a step does, as a share: as for bores."""
TRIES = 3
"""How often a step that overshoots is made smaller; own judgement."""


@dataclass(frozen=True, kw_only=True)
class _Kind:
    """One kind of step: the sizes it comes in, how exactly they are met, and a first size to try."""

    make: Callable[[int, float], Other]
    sizes: Array
    error: Callable[[float], float]
    first: float


def _trim_error_mm(by_mm: float) -> float:
    """How far off a trim comes out: filed and measured it is nearer its mark than sawn."""
    return SAWN_ERROR_MM if by_mm > FILED_MM else FILED_ERROR_MM


FILED_ERROR_MM, SAWN_ERROR_MM = 0.05, 0.2
"""Up to the first a tip is taken back with a file or sandpaper, a tenth at a time, and measured with callipers;
more is sawn. Own judgement, no source."""
FILED, SAWN = np.round(0.1 * np.arange(1, 11), 1), 0.5 * np.arange(3, 9)
TRIM = _Kind(
    make=lambda n, by: Trimmed(tongue=n, by_mm=by),
    sizes=np.concatenate([FILED, SAWN]),
    error=_trim_error_mm,
    first=1.0,
)
LENGTHEN = _Kind(
    make=lambda n, by: Lengthened(tongue=n, by_mm=by),
    sizes=0.5 * np.arange(1, 17),
    error=lambda by: 0.3,
    first=2.0,
)
WEIGHT = _Kind(
    make=lambda n, by: Weighted(tongue=n, grams=by),
    sizes=0.5 * np.arange(1, 17),
    error=lambda by: 0.1,
    first=4.0,
)


@dataclass(frozen=True, kw_only=True)
class OtherStep:
    """A step that is no bore, and what it does to its tongue and to all (cents)."""

    change: Other
    effect: float
    spread: float
    over: float
    moved: Array

    @property
    def by(self) -> float:
        """How many mm to trim or to saw further, or how many grams to fix."""
        return self.change.grams if isinstance(self.change, Weighted) else self.change.by_mm


def other_step(instrument: Instrument, state: Drum, need: Need) -> OtherStep | None:
    """The largest safe step of the first kind that helps and does not do more than is wanted; None if none does.

    Parameters
    ----------
    instrument : Instrument
        The model of this drum.
    state : Drum
        The drum as it stands now.
    need : Need
        What is to be done to the tongue.
    """
    for kind in (TRIM,) if need.way > 0.0 else (LENGTHEN, WEIGHT):
        found = _largest(kind, instrument, state, need)
        if found is not None:
            return found
    return None


def _largest(kind: _Kind, instrument: Instrument, state: Drum, need: Need) -> OtherStep | None:
    """The largest safe step of this kind: sized by what the last one tried did, and tried again."""
    sizes = np.array([size for size in kind.sizes if _can_be(state, kind.make(need.number, size))])
    if not len(sizes):
        return None
    size = float(sizes[np.argmin(abs(sizes - kind.first))])
    for left in reversed(range(TRIES)):
        moved = _moved(instrument, state, kind.make(need.number, size))
        tried = _weighed(kind, need, size, moved)
        best = _best(kind, need, sizes, moved / size)
        if best is None:
            return None
        if _helps(need, tried) and (best == size or not left):
            return tried if abs(tried.effect) >= WORTH_CENTS else None
        size = best
    return None


def _best(kind: _Kind, need: Need, sizes: Array, per_one: Array) -> float | None:
    """The largest of these sizes that is safe if each unit of it moves the tongues so far."""
    for size in sizes[::-1]:
        if _helps(need, _weighed(kind, need, float(size), per_one * size)):
            return float(size)
    return None


def _helps(need: Need, step: OtherStep) -> bool:
    """Whether a step goes the right way, not too far, and carries no other tongue past its band."""
    right = 0.0 < step.effect * need.way <= abs(need.wanted)
    return right and step.over <= OVERSHOOT and float(need.carried_over(step.moved)) <= OVERSHOOT


def _weighed(kind: _Kind, need: Need, size: float, moved: Array) -> OtherStep:
    effect = float(moved[need.number])
    spread = abs(effect) * math.hypot(MODEL_SHARE, kind.error(size) / size)
    _, _, over = need.after(np.array([effect]), np.array([spread]))
    change = kind.make(need.number, size)
    return OtherStep(change=change, effect=effect, spread=spread, over=float(over[0]), moved=moved)


def _can_be(state: Drum, change: Other) -> bool:
    """Whether the drum can still be sawn so. A weight takes no wood."""
    if isinstance(change, Weighted):
        return True
    if isinstance(change, Trimmed):
        return (state.tongues[change.tongue].length_mm or 0.0) - change.by_mm >= MIN_TONGUE_LENGTH_MM
    try:
        check_outline(after(state, [change]))
    except OutlineError:
        return False
    return True


def _moved(instrument: Instrument, state: Drum, change: Other) -> Array:
    """How far each tongue's note moves when this is done, in cents."""
    return instrument.moved(state, after(state, [change]), bottom_on=state.bottom is not None)
