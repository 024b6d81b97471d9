"""Steps at the bench that did something quite other than they should: when one is odd, and when two are no slips.

Cents throughout, positive when sharp. Held by tests/tune/test_belief.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from kerftone.modal.result import Array

ODD_ACTION, ODD_RATIO, ALIKE = 0.7, 1.3, 1.6
"""Two odd bores of one tongue that both did more than the second times what they should, or both less than its
inverse, and are within a factor of the third of each other, are no slips: they say how bores act there. From then on
the share of that tongue may be off by the first."""
ODD_SD, ODD_SHARE, ODD_CENTS = 3.0, 0.5, 60.0
"""A bore after which a tongue is heard so many standard deviations from where it was expected, and off by that share
of what it should have done, is an odd one (another mode has become the louder, a slip of the hand): it may have done
anything, and teaches nothing."""


STRAY_SHARE, STRAY_CARRIED_SHARE, STRAY_CENTS = 0.04, 0.2, 0.3
"""What the model may be off in what one bore does: to its own tongue and to others, as shares; and at least."""
LOWERED_SHARE, LOWERED_CENTS = 0.1, 1.2
"""The same for its own tongue where it is lowered: near the root a little wood does much."""
FAR_CENTS, SURELY_FAR = 30.0, 3
"""A bore that did so much more or less to its own tongue than it should made it jump. Once up and once down says that
two tones may take turns in it; a tap between the two that was misread would say so too, but not of a third."""
BAND_CENTS = 5.0
"""Twice up and twice down by the usual band are as sure a sign. With ten one virtual tongue was bored 21 times."""


class Jumps(IntEnum):
    """How sure it is that a tongue will not settle on its note, because two tones take turns in it."""

    NO, PERHAPS, SURELY = 0, 1, 2


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What one step should have done to one tongue, and the unknown for what it did otherwise."""

    tongue: int
    stray: int
    cents: float

    def is_odd(self, news: float, sd: float, variance: float) -> bool:
        """Whether a tap so many standard deviations (sd, cents) from what was expected makes the step an odd one.

        Parameters
        ----------
        news : float
            How many.
        sd : float
            One of them, in cents.
        variance : float
            Of the unknown for what the step did otherwise, cents²: as large as it gets, it is let go already.
        """
        far = abs(news) > ODD_SD and abs(news * sd) > ODD_SHARE * abs(self.cents)
        return far and variance < ODD_CENTS**2


@dataclass(frozen=True, kw_only=True)
class Odd:
    """A step that did `ratio` times what it should have done to a tongue.

    as_finished: whether it was heard with the bottom as in the finished drum.
    """

    cut: Effect
    ratio: float
    as_finished: bool = True

    @property
    def tongue(self) -> int:
        """Which tongue."""
        return self.cut.tongue

    @property
    def stray(self) -> int:
        """The unknown for what the step did otherwise."""
        return self.cut.stray


def agree(one: float, other: float) -> bool:
    """Whether two odd steps say the same of how strongly steps act."""
    if min(one, other) <= 0.0:
        return False
    same_way = min(one, other) > ODD_RATIO or max(one, other) < 1.0 / ODD_RATIO
    return same_way and max(one, other) < ALIKE * min(one, other)


def stray_cents(effect: Array | float) -> Array:
    """How many cents the model may be off in what a bore does to its own tongue, if it says `effect`."""
    raised = np.hypot(STRAY_SHARE * effect, STRAY_CENTS)
    return np.asarray(np.where(effect < 0.0, np.hypot(LOWERED_SHARE * effect, LOWERED_CENTS), raised))


def jumps(jumped: Sequence[float]) -> Jumps:
    """Whether a tongue has jumped both ways, each bore having done so many cents more to it than it should."""

    def both_ways(times: int, least: float) -> bool:
        return sum(by > least for by in jumped) >= times and sum(by < -least for by in jumped) >= times

    far = sum(abs(by) > FAR_CENTS for by in jumped)
    if both_ways(2, BAND_CENTS) or (both_ways(1, FAR_CENTS) and far >= SURELY_FAR):
        return Jumps.SURELY
    return Jumps.PERHAPS if both_ways(1, FAR_CENTS) else Jumps.NO
