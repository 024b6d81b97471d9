"""Which runs of a drawn edge are arcs of a circle: an outline's chords given back as true arcs.

The outline of a top is polylines whose chords follow curves within a tolerance. A machine that cuts, or a
program for solids, wants the arc itself. Here a ring of points becomes a closed path of straight pieces and
arcs: neighbouring corners that lie on one circle, and turn one way by small steps, become one arc.

mm throughout. The bulge of a piece is the tangent of a quarter of its angle, positive when it turns
counter-clockwise, 0 when it is straight: the convention of DXF polylines. What is not certainly an arc
stays straight, so that no edge moves by more than `STRAY_MM`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]

ON_CIRCLE_MM = 2e-3
"""How far a corner may lie off the circle of its run."""
STRAY_MM = 0.06
"""How far a chord may stray from its arc: a little more than an outline's own tolerance. A chamfer strays more."""
MOST_TURN = math.radians(62.0)
"""A sharper corner than this belongs to no arc."""
LEAST_CHORDS = 3
"""Fewer chords could be any bent line."""


@dataclass(frozen=True, kw_only=True)
class ClosedPath:
    """A closed edge: corners in order, none repeated, and the bulge of the piece that leaves each."""

    points: tuple[Point, ...]
    bulges: tuple[float, ...]

    def pieces(self) -> list[tuple[Point, Point, float]]:
        """Each piece: from, to, bulge."""
        ends = (*self.points[1:], self.points[0])
        return list(zip(self.points, ends, self.bulges, strict=True))

    def chords(self, *, most_deg: float = 5.0) -> list[Point]:
        """The same edge in straight pieces, each arc in chords of at most this angle, for a picture."""
        found: list[Point] = []
        for start, end, bulge in self.pieces():
            found += [start, *_between(start, end, bulge, math.radians(most_deg))]
        return found

    def area_mm2(self) -> float:
        """What it encloses, mm2, whichever way round it runs: the corners' polygon and a segment for each arc."""
        doubled = 0.0
        for (x0, y0), (x1, y1), bulge in self.pieces():
            doubled += x0 * y1 - x1 * y0
            if bulge:
                angle = 4.0 * math.atan(bulge)
                radius = math.dist((x0, y0), (x1, y1)) / (2.0 * math.sin(0.5 * angle))
                doubled += radius * radius * (angle - math.sin(angle))
        return 0.5 * abs(doubled)


def _between(start: Point, end: Point, bulge: float, most: float) -> list[Point]:
    """Points on an arc between its ends, halving it until each piece turns by no more than this."""
    if 4.0 * math.atan(abs(bulge)) <= most:
        return []
    middle, half = middle_of_arc(start, end, bulge), math.tan(0.5 * math.atan(bulge))
    return [*_between(start, middle, half, most), middle, *_between(middle, end, half, most)]


def middle_of_arc(start: Point, end: Point, bulge: float) -> Point:
    """The point half-way along an arc, mm."""
    (x0, y0), (x1, y1) = start, end
    return 0.5 * (x0 + x1) + 0.5 * bulge * (y1 - y0), 0.5 * (y0 + y1) - 0.5 * bulge * (x1 - x0)


def with_arcs(ring: Sequence[Sequence[float]]) -> ClosedPath:
    """The same closed edge with its true arcs. Held by tests/drum/test_arcs.py."""
    points = _distinct(ring)
    count = len(points)
    first = _after_longest(points)
    points = points[first:] + points[:first]
    kept: list[Point] = []
    bulges: list[float] = []
    at = 0
    while at < count:
        last = _end_of_arc(points, at)
        kept.append(points[at])
        if last - at >= LEAST_CHORDS:
            bulges.append(_bulge(points, at, last))
            at = last
        else:
            bulges.append(0.0)
            at += 1
    if len(kept) == 1:  # a whole circle: two halves
        half = count // 2
        return ClosedPath(
            points=(points[0], points[half]), bulges=(_bulge(points, 0, half), _bulge(points, half, count))
        )
    return ClosedPath(points=tuple(kept), bulges=tuple(bulges))


def _distinct(ring: Sequence[Sequence[float]]) -> list[Point]:
    points: list[Point] = []
    for x, y, *_ in ring:
        if not points or math.dist(points[-1], (x, y)) > 1e-6:
            points.append((float(x), float(y)))
    if len(points) > 1 and math.dist(points[0], points[-1]) <= 1e-6:
        points.pop()
    return points


def _after_longest(points: list[Point]) -> int:
    """Where to begin: after the longest piece, which is hardly ever inside an arc."""
    ends = [*points[1:], points[0]]
    lengths = [math.dist(a, b) for a, b in zip(points, ends, strict=True)]
    return (lengths.index(max(lengths)) + 1) % len(points)


def _turn(points: list[Point], at: int) -> float:
    """By how much the edge turns at this corner, radians, counter-clockwise positive."""
    count = len(points)
    (x0, y0), (x1, y1), (x2, y2) = points[(at - 1) % count], points[at % count], points[(at + 1) % count]
    first, second = (x1 - x0, y1 - y0), (x2 - x1, y2 - y1)
    cross = first[0] * second[1] - first[1] * second[0]
    return math.atan2(cross, first[0] * second[0] + first[1] * second[1])


def _gentle(points: list[Point], at: int) -> bool:
    return 1e-6 < abs(_turn(points, at)) < MOST_TURN


def _circle(a: Point, b: Point, c: Point) -> tuple[Point, float] | None:
    """Centre and radius of the circle through three points; None when they are in line."""
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    twice = 2.0 * (bx * cy - by * cx)
    if abs(twice) < 1e-9:
        return None
    b2, c2 = bx * bx + by * by, cx * cx + cy * cy
    ux, uy = (cy * b2 - by * c2) / twice, (bx * c2 - cx * b2) / twice
    return (a[0] + ux, a[1] + uy), math.hypot(ux, uy)


def _end_of_arc(points: list[Point], at: int) -> int:
    """The last corner of the longest arc that starts here; `at` itself when there is none."""
    count = len(points)
    if at + 2 > count:
        return at
    circle = _circle(points[at], points[at + 1], points[(at + 2) % count])
    if circle is None:
        return at
    centre, radius = circle
    way = _turn(points, at + 1)
    longest = min(1.5 * math.dist(points[at], points[at + 1]), math.sqrt(8.0 * radius * STRAY_MM))
    if math.dist(points[at], points[at + 1]) > longest:
        return at
    last = at + 1
    while last < count:
        turn = _turn(points, last)
        after = points[(last + 1) % count]
        if not _gentle(points, last) or turn * way < 0.0:
            break
        if abs(math.dist(after, centre) - radius) > ON_CIRCLE_MM:
            break
        if math.dist(points[last], after) > longest:
            break
        last += 1
    return last


def _bulge(points: list[Point], first: int, last: int) -> float:
    """Of the arc from corner to corner: the angles its chords span, added up."""
    count = len(points)
    circle = _circle(points[first], points[first + 1], points[(first + 2) % count])
    assert circle is not None
    (x, y), _ = circle
    way = math.copysign(1.0, _turn(points, first + 1))
    angles = [math.atan2(points[i % count][1] - y, points[i % count][0] - x) for i in range(first, last + 1)]
    swept = sum((way * (two - one)) % (2.0 * math.pi) for one, two in pairwise(angles))
    return way * math.tan(0.25 * swept)
