"""What a step does by full solves of the whole drum, as a second opinion on the frame and tongues.

The advice comes from a frame that stays and tongues that change: quick and, for bores clear of the root line,
within a cent or so of two full solves. Two full solves, before and after, take a dozen seconds and assume nothing of
the kind. Cents, positive when sharp.
"""

from __future__ import annotations

from kerftone.drum.design import Drum
from kerftone.modal.notes import notes_moved
from kerftone.modal.solve import solve
from kerftone.tune.history import Change, after

APART_CENTS, APART_SHARE = 2.0, 0.1
"""Two answers further apart than both of these are told to be apart."""


def fully_solved(state: Drum, change: Change) -> float:
    """How far this change moves its own tongue by two full solves in like meshes, if bores act as modelled.

    Held by tests/tune/test_confirm.py against the frame and tongues.
    """
    before, done = (solve(drum, layered=True).modes() for drum in (state, after(state, [change])))
    return float(notes_moved(before, done)[change.tongue])


def apart(one: float, other: float) -> bool:
    """Whether two answers differ by more than the model is trusted for."""
    return abs(one - other) > max(APART_CENTS, APART_SHARE * abs(other))
