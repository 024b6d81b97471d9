"""Which tongue of a drum each tap was on.

The model says where each tongue should sound, but the wood is not known: all tongues lie off together by one
factor, the same in cents for each, with the ± that stands beside the predictions. Beside that common shift each
tongue has a little of its own. So a run of taps is placed as a whole: for every common shift that the wood
allows, taps of like pitch are given to tongues one to one as well as they fit; shifts are weighed by how well
that goes and by how likely the wood makes them.

Cents are positive when the drum sounds sharp of its model. A tap that fits no tongue is given to none. Where
another reading of the run is nearly as likely, or two tongues are near, the match stands with a doubt that
names the other. Which partial is the fundamental is the ear's to say; so are its own doubts.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from kerftone.ear.heard import Strike
from kerftone.ear.repeats import same_pitch, together
from kerftone.pitch import cents

Array = NDArray[np.float64]

OWN_CENTS = 20.0
"""What one tongue is off by on its own: sawing to half a millimetre, the model (our own estimate, no source)."""
LEAST_WOOD_CENTS = 10.0
"""However well a board is known, its tongues may be off together by this much; own judgement."""
REACH = 3.0
"""Standard deviations beyond which a tap belongs to no tongue, and a shift to no wood."""
STEP_CENTS = 4.0
"""How finely that is tried; own judgement."""
SURE = 0.95
"""From this chance on a strike is given to its tongue unasked; own judgement."""
NEAR_ODDS = 20.0
"""Others that are less unlikely than this are named too; own judgement."""


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One tongue as the model has it: its number in the drum file from 1, its name for a maker, its pitch."""

    number: int
    name: str
    hz: float
    plus_minus_cents: float


@dataclass(frozen=True, kw_only=True)
class Match:
    """The tongue of one strike, None where it fits none, and what is doubtful about that."""

    tongue: int | None
    doubt: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Matched:
    """The tongues of all strikes, in their order, and how far the drum sounds from its model as a whole."""

    matches: tuple[Match, ...]
    shift_cents: float | None = field(default=None)


def match_strikes(strikes: Sequence[Strike], tongues: Sequence[Expected]) -> Matched:
    """Give each strike of a run its tongue. Held by tests/tune/test_match.py."""
    groups = same_pitch(strikes)
    if not groups or not tongues:
        return Matched(matches=tuple(_without(one) for one in strikes))
    heard = np.array([cents(together([strikes[n] for n in group]).hz, 1.0) for group in groups])
    model = np.array([cents(one.hz, 1.0) for one in tongues])
    placed = _place(heard, model, _wood_cents(tongues))
    matches: list[Match] = [_without(one) for one in strikes]
    for row, group in enumerate(groups):
        found = _match(row, placed, heard, model, tongues)
        for n in group:
            matches[n] = found
    return Matched(matches=tuple(matches), shift_cents=placed.shift_cents if placed.any else None)


def match_one(strikes: Sequence[Strike], tongue: Expected) -> Matched:
    """Give the strikes to the one tongue that was tapped; a pitch beyond what the wood explains is doubted."""
    reach = REACH * math.hypot(_wood_cents([tongue]), OWN_CENTS)
    matches = []
    for one in strikes:
        if not math.isfinite(one.hz):
            matches.append(_without(one))
            continue
        off = cents(one.hz, tongue.hz)
        far = f"It is {off:+.0f} cents from where the model puts {tongue.name}: another tongue or a partial?"
        matches.append(Match(tongue=tongue.number, doubt=(far,) if abs(off) > reach else ()))
    return Matched(matches=tuple(matches))


def _wood_cents(tongues: Sequence[Expected]) -> float:
    return max(float(np.median([one.plus_minus_cents for one in tongues])), LEAST_WOOD_CENTS)


def _without(strike: Strike) -> Match:
    return Match(tongue=None, doubt=() if math.isfinite(strike.hz) else ("It has no pitch to go by.",))


@dataclass(frozen=True, kw_only=True)
class _Placed:
    """The best reading of a run: the column of each row (None: no tongue), and how likely each pair is."""

    shift_cents: float
    columns: tuple[int | None, ...]
    chances: tuple[dict[int | None, float], ...]

    @property
    def any(self) -> bool:
        return any(column is not None for column in self.columns)


def _place(heard: Array, model: Array, wood_cents: float) -> _Placed:
    """Weigh every common shift that the wood allows."""
    reach = math.ceil(REACH * wood_cents / STEP_CENTS)
    shifts = STEP_CENTS * np.arange(-reach, reach + 1)
    # Taps off every tongue do not decide the shift; each costs what a tap at the reach costs.
    costs, readings = [], []
    for shift in shifts:
        cost, columns = _assign(heard, model + shift)
        costs.append(cost + 0.5 * (shift / wood_cents) ** 2)
        readings.append(columns)
    weights = np.exp(min(costs) - np.array(costs))
    weights /= weights.sum()
    chances: list[dict[int | None, float]] = [defaultdict(float) for _ in heard]
    for weight, columns in zip(weights, readings, strict=True):
        for row, column in enumerate(columns):
            chances[row][column] += float(weight)
    best = int(np.argmin(costs))
    return _Placed(
        shift_cents=_settle(heard, model, readings[best], float(shifts[best]), wood_cents),
        columns=readings[best],
        chances=tuple(chances),
    )


def _assign(heard: Array, model: Array) -> tuple[float, tuple[int | None, ...]]:
    """The best one-to-one reading at one shift, and its cost."""
    most = 0.5 * REACH**2
    fits = 0.5 * ((heard[:, None] - model) / OWN_CENTS) ** 2
    none = np.full((len(heard), len(heard)), most)
    costs = np.hstack([np.minimum(fits, 2.0 * most), none])
    rows, columns = linear_sum_assignment(costs)
    cost = float(costs[rows, columns].sum())
    return cost, tuple(int(c) if c < len(model) else None for c in columns)


def _settle(
    heard: Array, model: Array, columns: tuple[int | None, ...], start: float, wood_cents: float
) -> float:
    """The common shift of this reading: the mean of what its pairs say, drawn to the model by the wood's ±."""
    apart = [heard[row] - model[column] for row, column in enumerate(columns) if column is not None]
    if not apart:
        return start
    return float(np.sum(apart) / (len(apart) + (OWN_CENTS / wood_cents) ** 2))


def _match(row: int, placed: _Placed, heard: Array, model: Array, tongues: Sequence[Expected]) -> Match:
    column = placed.columns[row]
    off = heard[row] - model - placed.shift_cents
    if column is None:
        near = int(np.argmin(abs(off)))
        words = f"It fits no tongue: it is {off[near]:+.0f} cents from where the nearest, {tongues[near].name}, is."
        return Match(tongue=None, doubt=(words,))
    rivals = {other for other, chance in placed.chances[row].items() if chance > 1.0 - SURE}
    costs = 0.5 * (off / OWN_CENTS) ** 2
    rivals |= {int(k) for k in np.flatnonzero(costs < costs[column] + math.log(NEAR_ODDS))}
    names = [tongues[k].name for k in sorted(r for r in rivals if r is not None and r != column)]
    doubt = []
    if names:
        doubt.append(f"It could also be {' or '.join(names)}.")
    if abs(off[column]) > 2.0 * OWN_CENTS:
        doubt.append(
            f"It is {off[column]:+.0f} cents from where {tongues[column].name} should be among the others."
        )
    return Match(tongue=tongues[column].number, doubt=tuple(doubt))
