"""The true arcs and curves of a drawn edge, put back where its chords were.

Areas are worked out by shapely on polygons, whose edges are chords of the curves that were drawn. Which curves
those were is known (`Outline.bends`): here a ring of such a polygon becomes a closed path again, in which each run
of chords of one known curve is that piece of the curve. Nothing is guessed from the look of the corners: what lies on
no known curve stays straight. mm throughout.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.arcs import ClosedPath, Point, Segment, circle_of, closed_path, cubic_at, part_of

Array = NDArray[np.floating[Any]]

SAMPLES = 65
"""Places at which a cubic curve is looked at before the nearest one is made exact: its pieces turn little."""
NEWTON_STEPS = 4
"""Steps from the nearest sample to the nearest point; three give all digits on the curves of the tests."""
SAME_MM = 1e-6
"""Corners nearer than this are one: ten times the grid that areas are worked out on."""
SLACK = 1.2
"""Where two cuts meet, a corner lies on a chord and not on its curve: so many sagittas away, with rounding."""
STEEP = 20.0
"""A line that meets a curve at less than three degrees moves the corner more than so many times; it then stays."""


@dataclass(frozen=True)
class _Known:
    """A curve that was drawn: how far points are from it, and where along it."""

    piece: Segment

    def near(self, points: Array) -> tuple[Array, Array]:
        """Of each point (p, 2): its distance from the curve in mm, and where along it, 0 to 1 and beyond (p,)."""
        return self._near_cubic(points) if self.piece.controls else self._near_arc(points)

    @cached_property
    def length_mm(self) -> float:
        """How long the curve is, roughly."""
        if not self.piece.controls:
            circle = circle_of(self.piece)
            return circle.radius_mm * abs(circle.turns)
        return float(np.hypot(*np.diff(self._samples, axis=0).T).sum())

    def _near_arc(self, points: Array) -> tuple[Array, Array]:
        circle = circle_of(self.piece)
        dx, dy = (points - np.array(circle.centre)).T
        way, middle = math.copysign(1.0, circle.turns), circle.begins + 0.5 * circle.turns
        turned = way * (np.arctan2(dy, dx) - middle)
        turned = (turned + math.pi) % (2.0 * math.pi) - math.pi  # from the arc's middle, so that no end wraps
        return abs(np.hypot(dx, dy) - circle.radius_mm), 0.5 + turned / abs(circle.turns)

    @cached_property
    def _samples(self) -> Array:
        return np.array([cubic_at(self.piece, share) for share in np.linspace(0.0, 1.0, SAMPLES)])

    def _near_cubic(self, points: Array) -> tuple[Array, Array]:
        corners = np.array((self.piece.start, *(self.piece.controls or ()), self.piece.end))
        powers = np.array([[1, 0, 0, 0], [-3, 3, 0, 0], [3, -6, 3, 0], [-1, 3, -3, 1]]) @ corners
        gaps = points[:, None] - self._samples[None]
        share = np.argmin((gaps**2).sum(axis=2), axis=1) / (SAMPLES - 1.0)
        for _ in range(NEWTON_STEPS):
            t = share[:, None]
            off = powers[0] + t * (powers[1] + t * (powers[2] + t * powers[3])) - points
            slope = powers[1] + t * (2.0 * powers[2] + 3.0 * t * powers[3])
            bend = 2.0 * powers[2] + 6.0 * t * powers[3]
            rise = (slope**2).sum(axis=1) + (off * bend).sum(axis=1)
            step = (off * slope).sum(axis=1) / np.where(rise > 0.0, rise, np.inf)
            share = np.clip(share - step, 0.0, 1.0)
        t = share[:, None]
        off = powers[0] + t * (powers[1] + t * (powers[2] + t * powers[3])) - points
        return np.hypot(*off.T), share


def with_bends(ring: Sequence[Sequence[float]], bends: Sequence[Segment], *, sagitta_mm: float) -> ClosedPath:
    """The same closed edge with its true curves, where these are the curves that were drawn.

    Held by tests/drum/test_bends.py.

    Parameters
    ----------
    ring : Sequence[Sequence[float]]
        The closed edge in chords, in mm.
    bends : Sequence[Segment]
        The curves that were drawn, in mm.
    sagitta_mm : float
        How far the ring's chords stray from the curves, in mm.
    """
    points = _distinct(ring)
    if not bends:
        return closed_path([Segment(start=a, end=b) for a, b in _sides(points)])
    which, shares = _matched(points, bends, SLACK * sagitta_mm + SAME_MM)
    count = len(points)
    begins = [at for at in range(count) if not _goes_on(at - 1, at, which, shares)]
    begins = begins or [0]
    runs = []
    for at, after in zip(begins, [*begins[1:], begins[0] + count], strict=True):
        bend = bends[which[at]] if which[at] >= 0 else None
        runs.append(
            _Run(bend, points[at], points[after % count], (shares[at][0], shares[(after - 1) % count][1]))
        )
    runs = [
        _met(run, before=runs[at - 1], after=runs[(at + 1) % len(runs)]) if run.bend else run
        for at, run in enumerate(runs)
    ]
    starts = [_corner(runs[at - 1], run) for at, run in enumerate(runs)]
    return closed_path(
        [run.segment(a, b) for run, a, b in zip(runs, starts, [*starts[1:], starts[0]], strict=True)]
    )


@dataclass(frozen=True)
class _Run:
    """A side of the closed path: of the curve `bend` from one share of it to another, or straight."""

    bend: Segment | None
    start: Point
    end: Point
    shares: tuple[float, float]

    def segment(self, start: Point, end: Point) -> Segment:
        """The side between these corners."""
        if self.bend is None:
            return Segment(start=start, end=end)
        return replace(part_of(self.bend, *self.shares), start=start, end=end)


def _corner(before: _Run, after: _Run) -> Point:
    """Where two sides meet: a corner of the ring, or where a curve truly is."""
    if after.bend is not None:
        return _on(after.bend, after.shares[0])
    return after.start if before.bend is None else _on(before.bend, before.shares[1])


def _on(bend: Segment, share: float) -> Point:
    return cubic_at(bend, share) if bend.controls is not None else circle_of(bend).at(share)


def _met(run: _Run, *, before: _Run, after: _Run) -> _Run:
    """The run with its ends where the straight sides next to it truly meet the curve, and not its chords."""
    low, high = run.shares
    if before.bend is None:
        low = _crossing(run.bend, low, (before.start, before.end))
    if after.bend is None:
        high = _crossing(run.bend, high, (after.end, after.start))
    return replace(run, shares=(low, high))


def _crossing(bend: Segment | None, share: float, side: tuple[Point, Point]) -> float:
    """Near which share a curve crosses the line of a side that ends on one of its chords; itself if none."""
    assert bend is not None
    (ax, ay), (bx, by) = side
    long = math.dist(*side)
    if math.dist(_on(bend, share), side[1]) < SAME_MM or long < SAME_MM:
        return share

    def off(at: float) -> float:
        x, y = _on(bend, at)
        return ((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / long

    at, step = share, 1e-6
    for _ in range(NEWTON_STEPS):
        slope = (off(at + step) - off(at - step)) / (2.0 * step)
        if abs(slope) < SAME_MM:
            return share
        at -= off(at) / slope
    near = math.dist(_on(bend, at), side[1]) <= STEEP * math.dist(_on(bend, share), side[1])
    return min(max(at, 0.0), 1.0) if near else share


def _distinct(ring: Sequence[Sequence[float]]) -> list[Point]:
    points: list[Point] = []
    for x, y, *_ in ring:
        if not points or math.dist(points[-1], (x, y)) > SAME_MM:
            points.append((float(x), float(y)))
    if len(points) > 1 and math.dist(points[0], points[-1]) <= SAME_MM:
        points.pop()
    return points


def _sides(points: list[Point]) -> list[tuple[Point, Point]]:
    return list(zip(points, [*points[1:], points[0]], strict=True))


def _matched(
    points: list[Point], bends: Sequence[Segment], near_mm: float
) -> tuple[list[int], list[tuple[float, float]]]:
    """Of each side of the ring: which curve it is a chord of (-1: none), and from where to where along it."""
    corners = np.array(points)
    middles = 0.5 * (corners + np.roll(corners, -1, axis=0))
    which = np.full(len(points), -1)
    best = np.full(len(points), np.inf)
    shares = np.zeros((len(points), 2))
    for number, bend in enumerate(bends):
        known = _Known(bend)
        far, at = known.near(corners)
        slack = near_mm / known.length_mm
        on = (far <= near_mm) & (at >= -slack) & (at <= 1.0 + slack)
        chord = on & np.roll(on, -1) & (known.near(middles)[0] <= near_mm)
        held = np.clip(at, 0.0, 1.0)
        chord &= abs(np.roll(held, -1) - held) * known.length_mm > SAME_MM
        worst = np.maximum(far, np.roll(far, -1))
        better = chord & (worst < best)
        which[better], best[better] = number, worst[better]
        shares[better] = np.column_stack([held, np.roll(held, -1)])[better]
    return [int(one) for one in which], [(float(a), float(b)) for a, b in shares]


def _goes_on(before: int, at: int, which: list[int], shares: list[tuple[float, float]]) -> bool:
    """Whether a side is the next chord of the curve that the side before it belongs to."""
    if which[before] < 0 or which[before] != which[at]:
        return False
    (a, b), (c, d) = shares[before], shares[at]
    return (b - a) * (d - c) > 0.0
