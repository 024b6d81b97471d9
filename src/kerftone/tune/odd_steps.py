"""Steps at the bench that did something quite other than they should: when one is odd, and when two are no slips.

Cents throughout, positive when sharp. Held by tests/tune/test_belief.py.
"""

from __future__ import annotations

from dataclasses import dataclass

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
