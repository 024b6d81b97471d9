"""Which further tone of a board would tell most, and of what.

First in question are the notes of a drum cut from the board. How they answer to the wood of its top is taken from one
drum: they ask for stiffness along the grain first, and then for the shears, of which the one in the plane of the
rings (G_RT) hardly shows in the lowest tones of a board. Only the order of worth among tones rests on that drum,
never a ± that is promised for a note. Second are the constants a maker asks for by name: one that no tone has told
yet is named, with the lowest tone that would tell it.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerftone.modal.free_board import ACROSS, ALONG, OTHER, TWISTING, Name, Symmetry
from kerftone.modal.result import Array
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.tune.board_model import State, noise_cents
from kerftone.wood.board import Cut, Tap

DRUM_NOTE = (507.0, 6.0, 29.0, 38.0, 117.0, 63.0, 2.0, -6.0, 6.0, -840.0)
"""Cents that a note rises per unit of the logarithm of each constant, of a flatsawn top: the mean of the six notes of
the drum of benchmarks/identify.py, which prints it."""
BY_THICKNESS = 1176.0
"""The same for the top's thickness."""
ENOUGH_CENTS, WORTHWHILE = 6.0, 0.9
"""Nothing more is asked for when notes are known to so many cents, or when none would bring them below this share."""
AS_GOOD, LOWEST = 0.25, 16
"""Of tones nearly as good, by this share of the gain, the lowest is taken, from so many of the lowest ones."""
UNTOLD, TELLS = 0.5, 0.5
"""A constant is untold while its ± is above this share of the species'; a tone tells it that halves its ±."""
SWAPPED = (0, 2, 1, 4, 3, 5, 7, 6, 8, 9)
"""R and T in each other's place: a quartersawn board has R across, where a flatsawn one has T."""


@dataclass(frozen=True, kw_only=True)
class NextTone:
    """A tone worth tapping: where it should lie and how surely, its motion, and the ± it would leave.

    `first`: it is the lowest of its kind. `symmetry`: of x and y, whether the motion is even (0) or odd (1) about
    the middle. `now` and `then`: the ± of what is in question, in cents for notes, as a share for a constant. All
    ± are one standard deviation.
    """

    hz: float
    plus_minus_cents: float
    kind: str
    first: bool
    symmetry: Symmetry
    now: float
    then: float


@dataclass(frozen=True, kw_only=True)
class Untold:
    """A constant that the tones do not tell, its ± as a share, and the lowest tone that would, if there is one."""

    name: str
    after: float
    tone: NextTone | None


@dataclass(frozen=True)
class Known:
    """What is known after some tones: the model, the covariance of its unknowns, the tones and their motions."""

    state: State
    spread: Array
    taps: tuple[Tap, ...]
    names: tuple[Name, ...]

    def after_each(self, answer: Array) -> Array:
        """The ± of one sum of the unknowns if one more tone were heard, for each tone."""
        noise = statistics.median(noise_cents(tap) for tap in self.taps)
        rows = self.state.rows()
        told = (rows @ self.spread @ answer) ** 2 / (self.wide() ** 2 + noise**2)
        return np.asarray(np.sqrt(np.maximum(answer @ self.spread @ answer - told, 0.0)))

    def wide(self) -> Array:
        """How surely it is known where each tone lies, in cents."""
        rows = self.state.rows()
        return np.asarray(np.sqrt(np.einsum("mi,ij,mj->m", rows, self.spread, rows)))

    def free(self) -> list[int]:
        """Tones that have not been heard yet and that a tap on the face brings out."""
        tones = self.state.tones
        pairs = zip(tones.names[:LOWEST], tones.kinds[:LOWEST], strict=True)
        return [at for at, (name, kind) in enumerate(pairs) if name not in self.names and kind != OTHER]

    def tone(self, at: int, now: float, then: float) -> NextTone:
        """One of the tones, as something to be tapped.

        Parameters
        ----------
        at : int
            Which of them, counted from 0.
        now : float
            One standard deviation of what is asked, as it is.
        then : float
            The same once this tone was tapped.
        """
        tones = self.state.tones
        return NextTone(
            hz=float(tones.hz[at]),
            plus_minus_cents=float(self.wide()[at]),
            kind=tones.kinds[at],
            first=tones.kinds[at] not in tones.kinds[:at],
            symmetry=tones.names[at][0],
            now=now,
            then=then,
        )


def across_constants(cut: Cut) -> tuple[str, str]:
    """The stiffness across a board of this cut, and its shear in the plane."""
    return ("e_t_gpa", "g_lt_gpa") if cut == "flatsawn" else ("e_r_gpa", "g_lr_gpa")


def note_answer(cut: Cut) -> Array:
    """How a usual note of a drum answers to the constants and sizes of its top."""
    answer = np.array(DRUM_NOTE)
    wood = answer if cut == "flatsawn" else answer[list(SWAPPED)]
    return np.concatenate([wood, [0.0, 0.0, BY_THICKNESS]])


def next_tone(known: Known, cut: Cut) -> NextTone | None:
    """The tone that would tell most of the notes; None when they are known well enough or no tone would help."""
    answer = note_answer(cut)
    now = float(np.sqrt(answer @ known.spread @ answer))
    then, free = known.after_each(answer), known.free()
    if now <= ENOUGH_CENTS or not free:
        return None
    best = min(float(then[at]) for at in free)
    if best > WORTHWHILE * now:
        return None
    at = next(at for at in free if then[at] <= best + AS_GOOD * (now - best))
    return known.tone(at, now, float(then[at]))


def untold(known: Known, before: Sequence[float], cut: Cut) -> tuple[Untold, ...]:
    """Which of E_L, E across and G the tones do not tell; `before`: the ± of every constant before any tone.

    Parameters
    ----------
    known : Known
        What the taps so far tell.
    before : Sequence[float]
        The ± of every constant before any tone, as shares.
    cut : Cut
        How the board's growth rings lie.
    """
    found = []
    for name, kind in zip(("e_l_gpa", *across_constants(cut)), (ALONG, ACROSS, TWISTING), strict=True):
        at = CONSTANTS.index(name)
        now = float(np.sqrt(known.spread[at, at]))
        if now <= UNTOLD * before[at]:
            continue
        then = known.after_each(np.eye(len(known.spread))[at])
        tells = [tone for tone in known.free() if then[tone] < TELLS * now]
        tells.sort(key=lambda tone: known.state.tones.kinds[tone] != kind)  # else the lowest of another kind
        tone = known.tone(tells[0], now, float(then[tells[0]])) if tells else None
        found.append(Untold(name=name, after=now, tone=tone))
    return tuple(found)
