"""Steps at the bench that did something quite other than they should: when one is odd, and when two are no slips.

Cents throughout, positive when sharp. Held by tests/tune/test_belief.py.
"""

from __future__ import annotations

from dataclasses import dataclass

ODD_ACTION, ODD_RATIO, ALIKE = 0.7, 1.3, 1.6
"""Two odd bores of one tongue that both did more than the second times what they should, or both less than its
inverse, and are within a factor of the third of each other, are no slips: they say how bores act there. From then on
the share of that tongue may be off by the first."""
ODD_SD, ODD_SHARE, ODD_CENTS = 3.0, 0.5, 60.0
"""A bore after which a tongue is heard so many standard deviations from where it was expected, and off by that share
of what it should have done, is an odd one (another mode has become the louder, a slip of the hand): it may have done
anything, and teaches nothing."""


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What one step should have done to one tongue, and the unknown for what it did otherwise."""

    tongue: int
    stray: int
    cents: float


@dataclass(frozen=True, kw_only=True)
class Odd:
    """A step that did `ratio` times what it should have done to a tongue, and the unknown for that."""

    tongue: int
    stray: int
    ratio: float


def agree(one: float, other: float) -> bool:
    """Whether two odd steps say the same of how strongly steps act."""
    if min(one, other) <= 0.0:
        return False
    same_way = min(one, other) > ODD_RATIO or max(one, other) < 1.0 / ODD_RATIO
    return same_way and max(one, other) < ALIKE * min(one, other)
