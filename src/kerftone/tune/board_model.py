"""What is known of one board before and while its tones are used: the prior, the measurements, the model.

Unknown are the logarithms of the ten constants, with the species as prior, and of length, width and thickness,
as measured with a rule and its error; all are told from the prior's mean. Known are the mass and the tones.
Which tone is which motion is for `board_match.py` to find, the most likely board for `identify.py`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerftone.modal.free_board import ORDERS, ROUGH, FreeTones, Name, free_tones
from kerftone.modal.result import Array
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.pitch import cents
from kerftone.tune.spread import covariance
from kerftone.wood.board import RULER_MM, SCALE_G, Board, Tap
from kerftone.wood.elastic import Elastic

TONE_FLOOR_CENTS = 0.5
"""No tone counts as better known than this: the model itself is that good, no better."""
REACH = 18
"""So many of the lowest tones are reckoned with."""
FURTHEST, HALVINGS = 1.6, 20
"""No constant is sought further than this from the species' mean, as a natural logarithm: a factor of five."""
N = len(CONSTANTS)
CENTS = 1200.0 / math.log(2.0)
"""Cents in a natural logarithm of frequencies."""


@dataclass(frozen=True)
class State:
    """Logarithms of constants and sizes, relative to the prior's mean, and the model there."""

    x: Array
    tones: FreeTones

    def rows(self) -> Array:
        """Cents each tone rises per unit of each unknown (tones, unknowns)."""
        return np.hstack([self.tones.by_constant, self.tones.by_size])

    def has(self, names: Sequence[Name]) -> bool:
        """Are all these motions among the tones reckoned with."""
        return set(names) <= set(self.tones.names)

    def places(self, names: Sequence[Name]) -> list[int]:
        """Where these motions stand among the tones."""
        return [self.tones.names.index(name) for name in names]


class Problem:
    """The prior, the measurements, and the model of one board."""

    def __init__(self, board: Board) -> None:
        self.board = board
        size, self.mean = np.array(board.size_mm), board.expected()
        self.prior = np.zeros((N + 3, N + 3))
        self.prior[:N, :N] = covariance(board.scatter())
        self.prior[range(N, N + 3), range(N, N + 3)] = (RULER_MM / size) ** 2
        self._surely = np.linalg.inv(self.prior)
        # Mass is density times length times width times thickness: exact in logarithms.
        self.weigh = CENTS * np.array([0.0] * (N - 1) + [1.0] * 4)
        self.mass_cents = CENTS * math.log(board.density_kg_m3 / self.mean.density_kg_m3)
        self.mass_noise = CENTS * SCALE_G / board.mass_g

    def wood(self, x: Array) -> Elastic:
        """The constants at these logarithms."""
        factors = np.exp(x[:N])
        return replace(
            self.mean,
            **{n: float(getattr(self.mean, n) * f) for n, f in zip(CONSTANTS, factors, strict=True)},
        )

    def at(self, x: Array, *, rough: bool) -> State:
        """The model's tones there."""
        size = np.array(self.board.size_mm) * np.exp(x[N:])
        tones = free_tones(
            size_mm=(float(size[0]), float(size[1]), float(size[2])),
            elastic=self.wood(x),
            cut=self.board.cut,
            count=REACH,
            orders=ROUGH if rough else ORDERS,
        )
        return State(x, tones)

    def weighed(self) -> Array:
        """The most likely board when only its mass and sizes are known."""
        return self._update(self.weigh[None], np.array([self.mass_cents]), np.array([self.mass_noise]))[0]

    def step(self, state: State, taps: Sequence[Tap], names: Sequence[Name]) -> tuple[Array, Array]:
        """The next guess from all tones, and the covariance there.

        Parameters
        ----------
        state : State
            The constants as guessed so far.
        taps : Sequence[Tap]
            The tones that were tapped, in Hz.
        names : Sequence[Name]
            Which of the board's tones each tap is taken for.
        """
        rows, off, noise = self.equations(state, taps, names)
        return self._update(rows, off + rows @ state.x, noise)

    def _update(self, rows: Array, wanted: Array, noise: Array) -> tuple[Array, Array]:
        gain_left = self.prior @ rows.T
        inside = rows @ gain_left + np.diag(noise**2)
        gain = np.linalg.solve(inside, gain_left.T).T
        after = self.prior - gain @ gain_left.T
        return gain @ wanted, 0.5 * (after + after.T)

    def equations(
        self, state: State, taps: Sequence[Tap], names: Sequence[Name]
    ) -> tuple[Array, Array, Array]:
        """Of the mass and each tone: answers to the unknowns, measured less modelled, and noise, in cents.

        Parameters
        ----------
        state : State
            The constants as guessed so far.
        taps : Sequence[Tap]
            The tones that were tapped, in Hz.
        names : Sequence[Name]
            Which of the board's tones each tap is taken for.
        """
        places = state.places(names)
        rows = np.vstack([self.weigh, state.rows()[places]])
        off = [self.mass_cents - float(self.weigh @ state.x)]
        off += [cents(tap.hz, float(state.tones.hz[at])) for tap, at in zip(taps, places, strict=True)]
        return rows, np.array(off), np.array([self.mass_noise, *(noise_cents(tap) for tap in taps)])

    def misfit(self, state: State, taps: Sequence[Tap], names: Sequence[Name]) -> float:
        """How unlikely this board is: squares of all that is off, in standard deviations, prior included.

        Parameters
        ----------
        state : State
            The constants as guessed.
        taps : Sequence[Tap]
            The tones that were tapped, in Hz.
        names : Sequence[Name]
            Which of the board's tones each tap is taken for.
        """
        _, off, noise = self.equations(state, taps, names)
        return float(np.sum((off / noise) ** 2)) + self.unlikely(state.x)

    def unlikely(self, x: Array) -> float:
        """How far these unknowns lie off the species' mean and the measured sizes: the same squares."""
        return float(x @ self._surely @ x)

    def possible(self, x: Array, wanted: Array) -> Array:
        """As far towards the wanted wood as wood can be: a tone that is none of the board's may pull it beyond."""
        for _ in range(HALVINGS):
            if float(np.max(abs(wanted))) < FURTHEST and self.wood(wanted).why_unstable() is None:
                return wanted
            wanted = 0.5 * (x + wanted)
        return x


def noise_cents(tap: Tap) -> float:
    """How surely a tone is known, one standard deviation."""
    return max(tap.plus_minus_cents, TONE_FLOOR_CENTS)
