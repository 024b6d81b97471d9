"""Which note goes where.

Tongues on one side share the wood at their roots and the end wall under it, and near in pitch they share
their modes too: a strike on one then sounds both, and two pitches that lie too close cannot be reached at
all, since shared modes keep a distance. So tongues of one side should be far apart in pitch, a little more so
the nearer their rows, and a facing pair must fit its row together. Small drums are searched outright; larger
ones by exchanging pairs from a start that faces long with short. Pure arithmetic on pitches and guessed
lengths; the model judges the result.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from kerftone.drum.design import Drum, Side

Place = tuple[int, Side]
SIDES: tuple[Side, Side] = ("left", "right")
ROW_POWER = 0.25
OUTRIGHT = 8
"""Up to this many free tongues every arrangement is looked at."""


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What an arrangement is judged by: pitches (Hz) and guessed lengths (mm) in the tongues' order."""

    hz: tuple[float, ...]
    lengths_mm: tuple[float, ...]

    def separation_cents(self, places: Sequence[Place]) -> float:
        """How far apart in pitch the tongues of one side are, at the nearest pair; large is good.

        Cents, a little more with the distance in rows; an octave is as good as more.
        """
        at = list(zip(places, self.hz, strict=True))
        gaps = [
            abs(1200.0 * math.log2(hz / other_hz)) * abs(row - other_row) ** ROW_POWER
            for ((row, side), hz), ((other_row, other_side), other_hz) in itertools.combinations(at, 2)
            if side == other_side
        ]
        return float(min([1200.0, *gaps]))

    def crowding_mm(self, places: Sequence[Place]) -> float:
        """The length of the fullest row's tongues together."""
        rows: dict[int, float] = {}
        for (row, _), length in zip(places, self.lengths_mm, strict=True):
            rows[row] = rows.get(row, 0.0) + length
        return max(rows.values())

    def merit(self, places: Sequence[Place], room_mm: float) -> tuple[float, ...]:
        """What to maximise: that the rows hold their tongues, no loose rests, separation, spare room."""
        crowding = self.crowding_mm(places)
        fits = -max(0.0, crowding - room_mm)
        return fits, -loose_rests(places), self.separation_cents(places), -crowding


def loose_rests(places: Sequence[Place]) -> int:
    """How many tongues stand alone in a row between two others.

    The neighbours' slots cut the solid rest of such a row loose on both sides: it rings as one more tongue that
    nobody tunes. In an outer row the rest stays joined to the board's edge.
    """
    rows = [row for row, _ in places]
    return sum(rows.count(row) == 1 and 1 < row < max(rows) for row in rows)


def free_places(drum: Drum) -> list[Place]:
    """The places of this drum that no tongue has yet, rows from the front."""
    count = len(drum.tongues)
    taken = {(tongue.row, tongue.side) for tongue in drum.tongues if tongue.row is not None}
    rows = max([math.ceil(count / 2), *(row for row, _ in taken if row is not None)])
    return [(row, side) for row in range(1, rows + 1) for side in SIDES if (row, side) not in taken]


def arrangements(drum: Drum) -> Iterator[tuple[Place, ...]]:
    """Every way to give the tongues without a place one of their own; the others keep theirs."""
    fixed = [_place(drum, number) for number in range(len(drum.tongues))]
    empty = [number for number, place in enumerate(fixed) if place is None]
    for chosen in itertools.permutations(free_places(drum), len(empty)):
        whole = list(fixed)
        for number, place in zip(empty, chosen, strict=True):
            whole[number] = place
        places = tuple(place for place in whole if place is not None)
        if _no_row_empty(places):
            yield places


def _place(drum: Drum, number: int) -> Place | None:
    tongue = drum.tongues[number]
    if tongue.row is None or tongue.side is None:
        return None
    return tongue.row, tongue.side


def _no_row_empty(places: Sequence[Place]) -> bool:
    rows = {row for row, _ in places}
    return len(rows) == max(rows)


def ranked(drum: Drum, wish: Wish, room_mm: float) -> list[tuple[Place, ...]]:
    """Arrangements from the best to the worst: all of a small drum, or the best found and a few poor ones."""
    judge = _judge(wish, room_mm)
    empty = sum(tongue.row is None for tongue in drum.tongues)
    if empty <= OUTRIGHT:
        return sorted(arrangements(drum), key=judge, reverse=True)
    first = next(arrangements(drum))
    movable = [number for number, tongue in enumerate(drum.tongues) if tongue.row is None]
    best = _exchanged(_dealt(first, movable, wish), movable, judge)
    worst = _exchanged(first, movable, lambda places: tuple(-x for x in judge(places)))
    return [best, worst]


def _judge(wish: Wish, room_mm: float) -> Callable[[Sequence[Place]], tuple[float, ...]]:
    return lambda places: wish.merit(places, room_mm)


def _dealt(first: tuple[Place, ...], movable: list[int], wish: Wish) -> tuple[Place, ...]:
    """A first arrangement that pairs long with short."""
    order = sorted(movable, key=lambda number: wish.lengths_mm[number])
    mixed = [order[k // 2] if k % 2 == 0 else order[-1 - k // 2] for k in range(len(order))]
    places = list(first)
    for number, at in zip(mixed, movable, strict=True):
        places[number] = first[at]
    return tuple(places)


def _exchanged(
    places: tuple[Place, ...], movable: list[int], judge: Callable[[Sequence[Place]], tuple[float, ...]]
) -> tuple[Place, ...]:
    """The best that exchanging two tongues at a time leads to."""
    best, merit = places, judge(places)
    improved = True
    while improved:
        improved = False
        for one, other in itertools.combinations(movable, 2):
            trial = list(best)
            trial[one], trial[other] = trial[other], trial[one]
            if judge(trial) > merit:
                best, merit, improved = tuple(trial), judge(trial), True
    return best
