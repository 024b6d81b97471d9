"""Which places of a drum its tongues take, before any model has run.

A drum has two places to a row, one from each end. A maker may give some of them; the rest are filled so that no row
is empty and no tongue stands alone between two rows: the neighbours' slots would cut the solid rest of its row loose
on both sides, and it would ring as one more tongue that nobody tunes. Which note goes to which of them is decided on
the model, in `arrange.py`; here it is only dealt out, long facing short.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Drum, Side
from kerftone.modal.search import Place

SIDES: tuple[Side, Side] = ("left", "right")
OTHER: dict[Side, Side] = {"left": "right", "right": "left"}
MOST_CHOICES = 5000
"""More take longer than they can bring; own judgement."""


def loose_rests(places: Sequence[Place]) -> int:
    """How many tongues stand alone in a row between two others. In an outer row the rest stays joined to the edge."""
    rows = [row for row, _ in places]
    return sum(rows.count(row) == 1 and 1 < row < max(rows) for row in set(rows))


def free_places(drum: Drum) -> list[Place]:
    """The places of this drum that no tongue has yet, rows from the front."""
    taken = [(tongue.row, tongue.side) for tongue in drum.tongues if tongue.row is not None]
    rows = max([math.ceil(len(drum.tongues) / 2), *(row for row, _ in taken if row is not None)])
    return [(row, side) for row in range(1, rows + 1) for side in SIDES if (row, side) not in taken]


def filled_places(drum: Drum) -> list[Place]:
    """The places that the tongues without one will take, rows from the front."""
    given = [(t.row, t.side) for t in drum.tongues if t.row is not None and t.side is not None]
    wanting = len(drum.tongues) - len(given)
    choices = itertools.islice(itertools.combinations(free_places(drum), wanting), MOST_CHOICES)

    def faults(chosen: Iterable[Place]) -> tuple[int, int]:
        places = [*given, *chosen]
        rows = {row for row, _ in places}
        return max(rows, default=1) - len(rows), loose_rests(places)

    return list(min(choices, key=faults))


def usual_places(drum: Drum, lengths_mm: Sequence[float]) -> tuple[Place, ...]:
    """A place for every tongue: the maker's own where given, the others dealt out long facing short."""
    free = filled_places(drum)
    movable = sorted(
        (number for number, tongue in enumerate(drum.tongues) if tongue.row is None or tongue.side is None),
        key=lambda number: lengths_mm[number],
    )
    mixed = [movable[k // 2] if k % 2 == 0 else movable[-1 - k // 2] for k in range(len(movable))]
    dealt = dict(zip(mixed, free, strict=True))
    return tuple(
        dealt.get(number, (tongue.row or 1, tongue.side or "left"))
        for number, tongue in enumerate(drum.tongues)
    )


def ways_round(places: Sequence[Place], rows: int) -> list[tuple[Place, ...]]:
    """These places as they are, turned end for end, back to front, and both."""
    return [
        tuple((rows + 1 - row if turned else row, OTHER[side] if flipped else side) for row, side in places)
        for turned, flipped in itertools.product((False, True), repeat=2)
    ]


def distinct(places: Sequence[Place], chosen: NDArray[np.intp]) -> NDArray[np.intp]:
    """One of each set of mirror images: rows counted from the back, sides exchanged, or both."""
    images = [
        np.array([places.index(place) for place in moved])
        for moved in ways_round(places, max(row for row, _ in places))
        if all(place in places for place in moved)
    ]
    base = len(places) ** np.arange(chosen.shape[1])
    names = np.min([image[chosen] @ base for image in images], axis=0)
    _, first = np.unique(names, return_index=True)
    return chosen[np.sort(first)]
