"""Taps of the same tongue, taken together.

One tap is read as well as the noise lets it be, but taps differ by more than that: the mallet lands elsewhere,
the wood gives a little. So a tongue is tapped several times and the median counts, with a ± from how far the
taps scatter. Without a drum, taps within 25 cents of each other are taken for the same tongue.

The ± of a median of n taps is 1.25 times their scatter over the root of n (the large-sample value for normal
scatter, from memory), the scatter taken from the median distance to the median; never less than what a
single reading's own ± leaves after averaging.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerftone.ear.heard import Strike
from kerftone.pitch import cents

SAME_CENTS = 25.0
"""Strikes farther apart were not on one tongue: a quarter of a semitone, own judgement."""
FEW = 10
"""Fewer are too few for the scatter of the middle; own judgement."""
MEDIAN_LOSS = 1.2533
"""The standard deviation of a median over that of a mean: the root of pi/2, for many normal values."""
SIGMAS_A_DISTANCE = 1.4826
"""Standard deviations in the median distance from the median of normal values, 1/0.6745."""


@dataclass(frozen=True, kw_only=True)
class Repeated:
    """What several taps of one tongue say together. plus_minus_cents is one standard deviation."""

    hz: float
    plus_minus_cents: float
    drift_cents: float
    t60_s: float
    taps: int


def same_pitch(strikes: Sequence[Strike]) -> tuple[tuple[int, ...], ...]:
    """Which strikes sound alike: groups of their numbers, lowest pitch first; those without a pitch in none."""
    order = sorted((n for n, one in enumerate(strikes) if math.isfinite(one.hz)), key=lambda n: strikes[n].hz)
    groups: list[list[int]] = []
    for n in order:
        if groups and cents(strikes[n].hz, strikes[groups[-1][-1]].hz) <= SAME_CENTS:
            groups[-1].append(n)
        else:
            groups.append([n])
    return tuple(tuple(sorted(group)) for group in groups)


def apart_words(strikes: Sequence[Strike], name: str) -> str | None:
    """That taps of the tongue of this name lie too far apart for one, and what to do; None where they agree."""
    low, high = (end(strikes, key=lambda one: one.hz) for end in (min, max))
    apart = cents(high.hz, low.hz)
    if apart <= SAME_CENTS:
        return None
    return (
        f"{len(strikes)} taps of one tongue lie {apart:.0f} cents apart, from {low.hz:.1f} Hz at {low.t_s:.1f} s to "
        f"{high.hz:.1f} Hz at {high.t_s:.1f} s. Was it one tongue each time? Tap {name} again: the pitch that comes "
        "twice is its own."
    )


def together(strikes: Sequence[Strike]) -> Repeated:
    """The median of these taps of one tongue; all must have a pitch, and there must be one at least."""
    middle = float(np.median([math.log2(one.hz) for one in strikes]))
    hz = 2.0**middle
    apart = [abs(cents(one.hz, hz)) for one in strikes]
    n = len(strikes)
    scatter = SIGMAS_A_DISTANCE * float(np.median(apart))
    if 1 < n < FEW:
        # The median distance of few values is often too small by chance: their spread must fit too.
        scatter = max(scatter, float(np.std([cents(one.hz, hz) for one in strikes], ddof=1)))
    stated = float(np.median([one.plus_minus_cents for one in strikes]))
    loss = MEDIAN_LOSS if n > 2 else 1.0
    rings = [one.t60_s for one in strikes if math.isfinite(one.t60_s)]
    return Repeated(
        hz=hz,
        plus_minus_cents=max(loss * scatter, stated) / math.sqrt(n),
        drift_cents=float(np.median([one.drift_cents for one in strikes])),
        t60_s=float(np.median(rings)) if rings else math.nan,
        taps=n,
    )
