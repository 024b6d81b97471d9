"""Which arrangements keep their tongues off the knots of a board, and where on a larger board a top must be cut.

Whether a knot lies in a tongue or in what is sawn out between two tips is decided by the lengths: so it is asked of
arrangements that are in tune. Turned end for end or back to front a drum sounds the same, so an arrangement counts by
its best way round. Where the top is cut from a larger board, its corner may lie anywhere that leaves room: those
places are gone through on a grid. Tongues count as wide as their rows and straight to their tips. mm.

Held by tests/tune/test_off_knots.py.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.drum.knot_places import keep_off_mm, moved_by, root_strip_mm, spans
from kerftone.drum.knots import Knot
from kerftone.drum.plan_lines import Layout, layout
from kerftone.modal.result import Array
from kerftone.modal.search import Place
from kerftone.tune.candidate import Candidate
from kerftone.tune.places import usual_places, ways_round

SPARE_MM = 2.0
"""Tongues are kept so much further off: the lengths of a drum that is only being tried still change a little."""
MOST_CORNERS = 1500
"""So many places of a top on its board are gone through at most; own judgement."""
Corner = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Laid:
    """An arrangement the best way round: its places, where the top's corner then lies on its board, and which knots
    spoil tongues there, by their numbers from 0."""

    places: tuple[Place, ...]
    corner_mm: Corner
    spoilt: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class KnotField:
    """The knots of a board, and what is known of a drum before its arrangement is.

    far_mm (k,): how far each must be from a tongue. corners_mm: where the left front corner of the top may lie on the
    board the knots are measured on, the nearest to the board's own first. places: all that may be taken where the
    drum may be turned round; none where some tongues' places are the maker's.
    """

    lines: Layout
    strip_mm: float
    knots: tuple[Knot, ...]
    far_mm: tuple[float, ...]
    corners_mm: tuple[Corner, ...] = ((0.0, 0.0),)
    places: frozenset[Place] = frozenset()

    def spoilt(self, places: Sequence[Place], lengths_mm: Sequence[float]) -> NDArray[np.bool_]:
        """Which knots spoil a tongue with the top at each of its corners (c, k)."""
        away = self.away_mm(places, lengths_mm)
        return np.asarray((away < np.array(self.far_mm)[:, None]).any(axis=2))

    def away_mm(self, places: Sequence[Place], lengths_mm: Sequence[float]) -> Array:
        """How far each knot's middle is from each tongue or its root (c, k, t)."""
        left, front, right, back = spans(self.lines, places, lengths_mm, self.strip_mm).T
        at = np.array([knot[:2] for knot in self.knots]) - np.array(self.corners_mm)[:, None]
        x, y = at[..., 0, None], at[..., 1, None]
        along = np.maximum(0.0, np.maximum(left - x, x - right))
        across = np.maximum(0.0, np.maximum(front - y, y - back))
        return np.asarray(np.hypot(along, across))

    def laid(self, places: Sequence[Place], lengths_mm: Sequence[float]) -> Laid:
        """The way round, and the place on the board, in which the fewest knots spoil a tongue."""
        best: tuple[int, tuple[Place, ...], int, NDArray[np.bool_]] | None = None
        for turned in self.ways_round(places):
            spoilt = self.spoilt(turned, lengths_mm)
            counts = spoilt.sum(axis=1)
            corner = int(counts.argmin())
            if best is None or counts[corner] < best[0]:
                best = int(counts[corner]), turned, corner, spoilt[corner]
            if best[0] == 0:
                break
        assert best is not None
        _, turned, corner, row = best
        return Laid(
            places=turned,
            corner_mm=self.corners_mm[corner],
            spoilt=tuple(int(number) for number in np.flatnonzero(row)),
        )

    def ways_round(self, places: Sequence[Place]) -> list[tuple[Place, ...]]:
        """These places as they are, and where they may be so, turned end for end, back to front, and both."""
        as_they_are, *others = ways_round(places, self.lines.rows)
        return [as_they_are, *(other for other in others if self.places.issuperset(other))]

    def tongue(self, places: Sequence[Place], lengths_mm: Sequence[float], number: int) -> int:
        """Which tongue this knot spoils, from 0; the first of several.

        Parameters
        ----------
        places : Sequence[Place]
            Of the tongues.
        lengths_mm : Sequence[float]
            From root line to tip, in mm.
        number : int
            Of the knot, from 0.
        """
        pairs = zip(places, lengths_mm, strict=True)
        hit = [bool(self.spoilt([place], [mm])[0, number]) for place, mm in pairs]
        return hit.index(True)

    def counted(self, places: Sequence[Place], lengths_mm: Array, chosen: NDArray[np.intp]) -> Array:
        """How many tongues the knots spoil in each of many arrangements, each the best way round; 0 where the top may
        still be moved on its board.

        Parameters
        ----------
        places : Sequence[Place]
            All places.
        lengths_mm : (places, notes) array
            Of each note in each place by itself; nan where it cannot be had.
        chosen : (a, notes) array
            The number of each note's place.
        """
        if len(self.corners_mm) > 1:
            return np.zeros(len(chosen))
        counts = np.zeros(lengths_mm.shape)
        for (p, n), mm in np.ndenumerate(lengths_mm):
            if np.isfinite(mm):
                counts[p, n] = self.spoilt([places[p]], [float(mm)]).sum()
        notes, numbers = np.arange(chosen.shape[1]), list(places)
        ways = [np.array([numbers.index(place) for place in way]) for way in self.ways_round(places)]
        return np.asarray(np.min([counts[way[chosen], notes].sum(axis=1) for way in ways], axis=0))


def knot_field(drum: Drum, corners_mm: Sequence[Corner] = ((0.0, 0.0),)) -> KnotField | None:
    """The knots of a drum's board, with its places or without; None for a board without knots.

    Parameters
    ----------
    drum : Drum
        Its knots as they lie with the top's corner on the board's.
    corners_mm : Sequence[Corner], optional
        Where the top's corner may lie instead.
    """
    if not drum.top.knots_mm:
        return None
    places = usual_places(drum, [1.0] * len(drum.tongues))
    placed = replace(
        drum,
        tongues=tuple(
            replace(t, row=row, side=side) for t, (row, side) in zip(drum.tongues, places, strict=True)
        ),
    )
    return KnotField(
        lines=layout(placed),
        strip_mm=root_strip_mm(drum),
        knots=drum.top.knots_mm,
        far_mm=tuple(keep_off_mm(knot, drum.slots.kerf_mm) + SPARE_MM for knot in drum.top.knots_mm),
        corners_mm=tuple(corners_mm),
        places=frozenset(places) if all(tongue.row is None for tongue in drum.tongues) else frozenset(),
    )


def corners_on(board_mm: tuple[float, float], top_mm: tuple[float, float], step_mm: float) -> list[Corner]:
    """Where the left front corner of a top may lie on a larger board, the nearest to the board's own first.

    Parameters
    ----------
    board_mm : tuple[float, float]
        Length and width of the board.
    top_mm : tuple[float, float]
        Length and width of the top.
    step_mm : float
        Places are whole numbers of this.
    """
    steps = [int((whole - part) / step_mm + 1e-9) for whole, part in zip(board_mm, top_mm, strict=True)]
    coarse = 1
    while (steps[0] // coarse + 1) * (steps[1] // coarse + 1) > MOST_CORNERS:
        coarse += 1
    grid = itertools.product(*(range(0, most + 1, coarse) for most in steps))
    return sorted(((x * step_mm, y * step_mm) for x, y in grid), key=lambda at: (at[0] + at[1], at))


def cut_at(drum: Drum, corner_mm: Corner) -> Drum:
    """The same drum with its top cut from its board, its corner there: knots as seen from it, those off it gone."""
    top = drum.top
    knots = (
        knot
        for knot in moved_by(top.knots_mm, -corner_mm[0], -corner_mm[1])
        if 0.0 <= knot.x_mm <= top.length_mm and 0.0 <= knot.y_mm <= top.width_mm
    )
    return replace(drum, top=replace(top, knots_mm=tuple(knots)))


def nearest_knot(drum: Drum, one: Candidate) -> tuple[int, str, float]:
    """The knot nearest to a tongue of this arrangement: its number from 0, that tongue's note, and how far the knot's
    edge is from it or its root, in mm.

    Parameters
    ----------
    drum : Drum
        With knots.
    one : Candidate
        An arrangement of it, with lengths.
    """
    field = knot_field(drum)
    assert field is not None
    away = field.away_mm(one.tuned.places, one.tuned.lengths_mm)[0]
    edge = away - 0.5 * np.array([knot.diameter_mm for knot in field.knots])[:, None]
    number, tongue = np.unravel_index(int(edge.argmin()), edge.shape)
    return int(number), drum.tongues[int(tongue)].note, float(edge.min())
