"""How much each tongue must be moved by its own bores, when every bore moves its neighbours too.

Tongues of one drum hang together through root strips and box: raising one by 50 cents may lift another by 20.
So what a tongue needs is not how far it is off but what is left once its neighbours have been seen to. The
plan moves as few tongues as it can so that all end in their bands, then those it moves so that all come as
near their notes as they can.

Cents; `pull[j, i]` is how far tongue j moves when tongue i is moved by one cent by bores of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from kerftone.modal.frame import Assembly
from kerftone.modal.notes import weights
from kerftone.modal.result import Array

MARGIN, FAR_MARGIN = 2.0, 2.4
"""A tongue is planned to end so many standard deviations inside its band, and is not carried nearer its far side than
the second says: no step would be safe that did."""
LEAST_BAND, LEAST_ROOM = 0.6, 0.1
"""The band is never planned narrower than this share of it, nor on the far side than the second: a tongue that lies
in it for all that is known is tapped again, not bored."""
LEAST_STEP_CENTS, LARGEST_STEP_CENTS = 0.2, 120.0
"""Less is no step, more is more than one bore does; own judgement."""
OUTSIDE_WORTH = 5.0
"""How many cents of steps it is worth to come a cent nearer the band. Where two tongues cannot be so near each other
in pitch, raising one and lowering the other hardly brings them together: a plan at any price would bore both without
end, and their neighbours to make up for it."""
NEARER_WORTH = 5.0
"""The same for a cent nearer the aim, once it is known which tongues are moved; to leave the band costs that five
times."""


def pull(model: Assembly) -> Array:
    """How far each tongue moves (rows) when another (columns) is moved one cent by wood taken near its tip."""
    own = np.argmax(weights(model.modes()), axis=1)
    acts = np.array([model.shaved(number, own) for number in range(len(own))])
    return np.asarray((acts / np.diag(acts)[:, None]).T)


@dataclass(frozen=True, kw_only=True)
class Bands:
    """Where every tongue is to end.

    tolerance: half the width of each band, in cents. aim (t,): where in its band each tongue is best brought to lie.
    far (t,): +1 where the sharp side of its band is the far one, -1 where the flat side is; None where neither is.
    """

    tolerance: float
    aim: Array | float = 0.0
    far: Array | None = None


def own_steps(
    cents: Array, plus_minus: Array, bands: Bands, pulls: Array, *, fixed: Sequence[int] = ()
) -> Array:
    """How many cents each tongue must be moved by bores of its own; 0 for those left alone.

    Parameters
    ----------
    cents : (t,) array
        How far each tongue is from its note; positive is sharp.
    plus_minus : (t,) array
        One standard deviation of that, in cents.
    bands : Bands
        Where they are to end.
    pulls : (t, t) array
        How far each tongue (row) moves when another (column) is moved by one cent: see `pull`.
    fixed : sequence of int, optional
        Tongues that cannot be moved any more, by number.

    Returns
    -------
    (t,) array
        Cents; held by tests/tune/test_own_steps.py.
    """
    tolerance, aim, far = bands.tolerance, bands.aim, bands.far
    band = np.maximum(tolerance - MARGIN * plus_minus, LEAST_BAND * tolerance)
    sharp, flat = band, band
    if far is not None:
        inner = np.maximum(tolerance - FAR_MARGIN * plus_minus, LEAST_ROOM * tolerance)
        safe = np.minimum(np.maximum(inner, far * cents), band)
        sharp, flat = np.where(far > 0.0, safe, band), np.where(far < 0.0, safe, band)
    edges = np.concatenate([sharp - aim, flat + aim])
    first = _least(cents - aim, edges, pulls, moved=np.array([n not in fixed for n in range(len(cents))]))
    chosen = np.asarray(abs(first) >= LEAST_STEP_CENTS)
    return np.where(chosen, _nearest(cents - aim, edges, pulls, moved=chosen), 0.0)


def by_turn(steps: Array, cents: Array, far: Array, tolerance: float) -> list[int]:
    """The tongues that need a step, in the order to take them.

    First those to be moved away from their far side, to make room for what their neighbours will do; then the
    largest steps; last those whose whole step would now take them past their far side.

    Parameters
    ----------
    steps : Array
        What each must be moved by its own bores, (t,), in cents; 0 for none.
    cents : Array
        How far each is from its note, (t,), in cents.
    far : Array
        +1 where the sharp side of its band is the far one, -1 where the flat side is, (t,).
    tolerance : float
        Half the width of the band that counts as in tune, in cents.
    """

    def turn(n: int) -> tuple[int, float]:
        away = steps[n] * far[n] < 0.0
        past = (cents[n] + steps[n]) * far[n] > tolerance
        return 0 if away else 2 if past else 1, -abs(steps[n])

    return sorted((int(n) for n in np.flatnonzero(steps)), key=turn)


def _least(off: Array, bands: Array, pulls: Array, *, moved: NDArray[np.bool_]) -> Array:
    """The steps of least total size that bring all tongues into their bands, or as near as they come."""
    return _program(off, bands, pulls, moved=moved, rest_worth=0.0, outside_worth=OUTSIDE_WORTH)


def _nearest(off: Array, bands: Array, pulls: Array, *, moved: NDArray[np.bool_]) -> Array:
    """The steps of these tongues that leave the least, all tongues in their bands."""
    return _program(off, bands, pulls, moved=moved, rest_worth=NEARER_WORTH, outside_worth=5.0 * NEARER_WORTH)


def _program(
    off: Array,
    bands: Array,
    pulls: Array,
    *,
    moved: NDArray[np.bool_],
    rest_worth: float,
    outside_worth: float,
) -> Array:
    """Linear programme in steps up, steps down, what is left sharp and flat, and how far outside the band.

    off (t,): how far each is from where it should lie. bands (2t,): how sharp, then how flat, each may be left of it.
    """
    count = len(off)
    eye, none = np.eye(count), np.zeros((count, count))
    balance = np.hstack([pulls, -pulls, -eye, eye])
    within = np.block([[none, none, eye, none, -eye], [none, none, none, eye, -eye]])
    cost = np.repeat([1.0, rest_worth, outside_worth], [2 * count, 2 * count, count])
    steps = [(0.0, LARGEST_STEP_CENTS if may else 0.0) for may in (*moved, *moved)]
    limits: list[tuple[float, float | None]] = [*steps, *[(0.0, None)] * (3 * count)]
    answer = linprog(
        cost,
        A_ub=within,
        b_ub=bands,
        A_eq=np.hstack([balance, none]),
        b_eq=-off,
        bounds=limits,
    )
    assert answer.x is not None, answer.message
    return np.asarray(answer.x[:count] - answer.x[count : 2 * count])
