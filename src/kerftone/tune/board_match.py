"""Which motion of the board each tone is, when several answers must be kept open for a while.

The tones are taken one after another, first those that are the lowest of a stated kind, then from low to high.
For each guess that is still open, every motion near enough to the tone makes a new guess, and so does leaving
the tone out; what the tones so far tell of the wood says where the next one should lie and how nearly. The
likeliest guesses stay. A stated kind is believed, but not blindly: many a tone is written down for the wrong one,
and motions of a wide board are mixed.

A guess is priced as -2 times the logarithm of its likelihood. The prices of labels and of leaving out are our own
judgement. Held by tests/tune/test_board_match.py.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerftone.modal.free_board import ALONG, OTHER, FreeTones, Name
from kerftone.modal.result import Array
from kerftone.pitch import cents
from kerftone.tune.board_model import Problem, State, noise_cents
from kerftone.wood.board import Tap

LIMIT = 4.0
"""Standard deviations: one honest tone in 16,000 is lost by it."""
SAME_TONE_CENTS = 40.0
"""Tones nearer than this may be the same motion, tapped again."""
LEFT_OUT = LIMIT**2 + 6.0
"""The price of leaving a tone out: more than of any tone within the limit. Own judgement."""
WRONG_KIND, NOT_LOWEST, UPPER_KIND, IN_PLANE = 9.0, 6.0, 4.0, 4.0
"""Prices of a tone that was written down as another motion, as the lowest of its kind while it is not, of a higher
one, and of a motion in the plane of the board, which a tap hardly wakes; own judgement."""
FAR = 6.0
"""A motion is tried for a tone up to so many standard deviations off."""
SOLVE_CENTS, ROUGH_CENTS = 60.0, 8.0
"""The model is solved anew when a tone moved more; how far off it may be before that, added to the noise."""


@dataclass(frozen=True)
class Open:
    """How many guesses stay open, and how far behind the best one in price."""

    width: int = 6
    behind: float = 20.0


WIDER = Open(14, 45.0)
"""For boards far from their species' mean, for which a first look leaves tones out."""


@dataclass(frozen=True)
class Guess:
    """Taps used and left out so far, the motion of each used one, and the price apart from the misfit."""

    state: State
    taps: tuple[Tap, ...]
    names: tuple[Name, ...]
    left: tuple[Tap, ...]
    misfit: float
    extra: float

    @property
    def price(self) -> float:
        """How unlikely the whole guess is."""
        return self.misfit + self.extra


def guesses(problem: Problem, first: State, taps: Sequence[Tap], keep: Open) -> list[Guess]:
    """What the tones may be, the likeliest first; none of them empty unless nothing fits.

    Parameters
    ----------
    problem : Problem
        The board and its prior.
    first : State
        Where to begin.
    taps : Sequence[Tap]
        The tones that were tapped, in Hz.
    keep : Open
        How many guesses are kept, and how far behind the likeliest.
    """
    lowest = _lowest(taps) if len(taps) > 1 else list(taps)
    order = sorted(taps, key=lambda tap: (all(tap is not low for low in lowest), tap.hz))
    found = [Guess(first, (), (), (), 0.0, 0.0)]
    for tap in order:
        is_lowest = any(tap is low for low in lowest)
        grown = [child for guess in found for child in _grown(problem, guess, tap, is_lowest)]
        grown.sort(key=lambda guess: guess.price)
        found = [guess for guess in grown if guess.price < grown[0].price + keep.behind][: keep.width]
    return found


def _lowest(taps: Sequence[Tap]) -> list[Tap]:
    """Of each stated kind, the lowest tone; a tone tapped twice counts once."""
    kinds = sorted({tap.motion for tap in taps} - {"unknown"})
    return [min((tap for tap in taps if tap.motion == kind), key=lambda tap: tap.hz) for kind in kinds]


def _grown(problem: Problem, guess: Guess, tap: Tap, is_lowest: bool) -> Iterator[Guess]:
    """Every guess that this tone makes of one."""
    yield replace(guess, left=(*guess.left, tap), extra=guess.extra + LEFT_OUT)
    state, x, spread = _followed(problem, guess)
    tones, rows = state.tones, state.rows()
    hz = tones.hz * 2.0 ** (rows @ (x - state.x) / 1200.0)
    off = 1200.0 * np.log2(tap.hz / hz)
    known = noise_cents(tap) ** 2 + ROUGH_CENTS**2
    wide = np.einsum("mi,ij,mj->m", rows, spread, rows) + known
    for at in np.flatnonzero(off**2 < FAR**2 * wide):
        if not _may_be(guess, tap, tones.names[at]):
            continue
        price = math.log(wide[at] / known) + label_price(tones, int(at), tap, is_lowest)
        yield Guess(
            state,
            (*guess.taps, tap),
            (*guess.names, tones.names[at]),
            guess.left,
            guess.misfit + float(off[at] ** 2 / wide[at]),
            guess.extra + price,
        )


def _may_be(guess: Guess, tap: Tap, name: Name) -> bool:
    """Is this motion free, or was it tapped for before with nearly this tone."""
    pairs = zip(guess.taps, guess.names, strict=True)
    return all(name != used or abs(cents(tap.hz, other.hz)) < SAME_TONE_CENTS for other, used in pairs)


def label_price(tones: FreeTones, at: int, tap: Tap, is_lowest: bool) -> float:
    """How unlikely it is that a tone of this motion was written down so.

    Parameters
    ----------
    tones : FreeTones
        Of the board by the model.
    at : int
        Which of them, counted from 0.
    tap : Tap
        As it was written down.
    is_lowest : bool
        Whether it is the lowest of its kind.
    """
    kind = tones.kinds[at]
    if tap.motion == "unknown":
        # The only tone is first of all that which `board tap` draws first.
        usual = not is_lowest or kind == ALONG
        return (IN_PLANE if kind == OTHER else 0.0) + (0.0 if usual else NOT_LOWEST)
    if kind == OTHER:
        return WRONG_KIND + IN_PLANE
    if is_lowest:
        first = kind not in tones.kinds[:at]
        return WRONG_KIND if kind != tap.motion else 0.0 if first else NOT_LOWEST
    return 0.0 if kind == tap.motion else UPPER_KIND


def _followed(problem: Problem, guess: Guess) -> tuple[State, Array, Array]:
    """The most likely board of a guess, solved anew where the last solution is too far off."""
    state = guess.state
    x, spread = problem.step(state, guess.taps, guess.names)
    for _ in range(3):
        x = problem.possible(state.x, x)
        if float(np.max(abs(state.rows() @ (x - state.x)))) < SOLVE_CENTS:
            break
        moved = problem.at(x, rough=True)
        if not moved.has(guess.names):
            break
        state = moved
        x, spread = problem.step(state, guess.taps, guess.names)
    return state, x, spread
