"""Which further tone of a board would tell most of the notes of a drum cut from it, and how to bring it out.

How a drum's notes answer to the wood of its top is taken from one drum: they ask for stiffness along the grain
first, and then for the shears, of which the one in the plane of the rings (G_RT) hardly shows in the lowest tones of
a board. Only the order of worth among tones rests on that drum, never a ± that is promised for a note.
"""

from __future__ import annotations

import statistics
from dataclasses import dataclass

import numpy as np

from kerftone.modal.free_board import OTHER, Symmetry
from kerftone.modal.result import Array
from kerftone.tune.board_model import N, State, noise_cents
from kerftone.wood.board import Cut, Tap

DRUM_NOTE = (507.0, 6.0, 29.0, 38.0, 117.0, 63.0, 2.0, -6.0, 6.0, -840.0)
"""Cents that a note rises per unit of the logarithm of each constant, of a flatsawn top: the mean of the six notes of
the drum of benchmarks/identify.py, which prints it."""
BY_THICKNESS = 1176.0
"""The same for the top's thickness."""
ENOUGH_CENTS, WORTHWHILE = 6.0, 0.9
"""Nothing more is asked for when notes are known to so many cents, or when none would bring them below this share."""
AS_GOOD, AUDIBLE = 0.25, 16
"""Of tones nearly as good, by this share of the gain, the lowest is taken, from so many of the lowest ones."""
SWAPPED = (0, 2, 1, 4, 3, 5, 7, 6, 8, 9)
"""R and T in each other's place: a quartersawn board has R across, where a flatsawn one has T."""


@dataclass(frozen=True, kw_only=True)
class NextTone:
    """A tone worth tapping: where it should lie and how surely, its motion, and the ± of a note now and then.

    `symmetry`: of x and y, whether the motion is even (0) or odd (1) about the middle. All in Hz and cents, one
    standard deviation.
    """

    hz: float
    plus_minus_cents: float
    kind: str
    symmetry: Symmetry
    notes_now_cents: float
    notes_then_cents: float


def note_answer(cut: Cut) -> Array:
    """How a usual note of a drum answers to the constants and sizes of its top."""
    answer = np.array(DRUM_NOTE)
    wood = answer if cut == "flatsawn" else answer[list(SWAPPED)]
    return np.concatenate([wood, [0.0, 0.0, BY_THICKNESS]])


def next_tone(
    state: State, spread: Array, taps: tuple[Tap, ...], used: tuple[object, ...], cut: Cut
) -> NextTone | None:
    """The tone that would tell most, or None when the notes are known well enough or no tone would help.

    `spread`: covariance of the unknowns after the tones `taps`, whose motions are `used`.
    """
    answer = note_answer(cut)
    now = float(np.sqrt(answer @ spread @ answer))
    noise = statistics.median(noise_cents(tap) for tap in taps)
    tones, rows = state.tones, state.rows()
    assert rows.shape[1] == N + 3
    wide = np.einsum("mi,ij,mj->m", rows, spread, rows)
    then = np.sqrt(np.maximum(now**2 - (rows @ spread @ answer) ** 2 / (wide + noise**2), 0.0))
    pairs = zip(tones.names[:AUDIBLE], tones.kinds[:AUDIBLE], strict=True)
    free = [at for at, (name, kind) in enumerate(pairs) if name not in used and kind != OTHER]
    if now <= ENOUGH_CENTS or not free:
        return None
    best = min(float(then[at]) for at in free)
    if best > WORTHWHILE * now:
        return None
    at = next(at for at in free if then[at] <= best + AS_GOOD * (now - best))
    return NextTone(
        hz=float(tones.hz[at]),
        plus_minus_cents=float(np.sqrt(wide[at])),
        kind=tones.kinds[at],
        symmetry=tones.names[at][0],
        notes_now_cents=now,
        notes_then_cents=float(then[at]),
    )
