"""Which slots bow, how far and which way, in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence


def bow_words(bows_mm: Sequence[float], say: Callable[[float], str]) -> str:
    """Each slot that bows, counted from the front edge: how far its middle lies off the line between its ends.

    >>> bow_words((0.0, -2.5), "{:g} mm".format)
    'slot 2 by 2.5 mm towards the front, in the middle, each one arc from root line to root line'

    Parameters
    ----------
    bows_mm : Sequence[float]
        Of all slots from front to back, in mm, towards the back.
    say : Callable[[float], str]
        How a length is said.
    """
    told = ", ".join(
        f"slot {number} by {say(abs(bow))} towards the {'back' if bow > 0.0 else 'front'}"
        for number, bow in enumerate(bows_mm, start=1)
        if bow
    )
    return f"{told}, in the middle, each one arc from root line to root line"
