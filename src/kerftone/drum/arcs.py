"""Pieces of a drawn edge: straight, an arc of a circle, or a cubic curve; and closed edges made of them.

mm throughout. The bulge of a piece is the tangent of a quarter of its angle, positive when it turns
counter-clockwise, 0 when it is straight: the convention of DXF polylines. A cubic curve has two control points
between its ends (a Bezier curve, the convention of SVG). `segment_chords` is the one place where a curve becomes
straight pieces; how far they may stray from it (the sagitta) is said by whoever asks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

Point = tuple[float, float]
Controls = tuple[Point, Point]

SAME_ANGLE = 1e-9
"""Radians: a quarter of a circle that ends nearer than this to where an arc ends is not parted there. Rounding."""
SAME_SHARE = 1e-9
"""The same along a cubic curve, as a share of it."""


@dataclass(frozen=True, kw_only=True)
class Segment:
    """One piece of an edge, from `start` to `end`: a cubic curve where it has `controls`, else by its bulge."""

    start: Point
    end: Point
    bulge: float = 0.0
    controls: Controls | None = None

    @property
    def is_straight(self) -> bool:
        """Whether it is a straight line."""
        return self.bulge == 0.0 and self.controls is None

    def backwards(self) -> Segment:
        """The same piece from its end to its start."""
        controls = None if self.controls is None else (self.controls[1], self.controls[0])
        return Segment(start=self.end, end=self.start, bulge=-self.bulge, controls=controls)

    def moved(self, at: Callable[[Point], Point], *, turned_over: bool = False) -> Segment:
        """The piece with every point moved: a shift, a turn, or (`turned_over`) a mirror image."""
        controls = None if self.controls is None else (at(self.controls[0]), at(self.controls[1]))
        bulge = -self.bulge if turned_over else self.bulge
        return Segment(start=at(self.start), end=at(self.end), bulge=bulge, controls=controls)


Curve = tuple[Segment, ...]
"""Pieces one after the other, each beginning where the last one ends."""


@dataclass(frozen=True, kw_only=True)
class ClosedPath:
    """A closed edge: corners in order, none repeated, and the bulge of the piece that leaves each.

    `controls`: of the pieces that are cubic curves; empty where none is.
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    controls: tuple[Controls | None, ...] = ()

    def pieces(self) -> list[tuple[Point, Point, float]]:
        """Each piece: from, to, bulge."""
        ends = (*self.points[1:], self.points[0])
        return list(zip(self.points, ends, self.bulges, strict=True))

    def segments(self) -> list[Segment]:
        """Each piece with all it is made of."""
        controls = self.controls or (None,) * len(self.points)
        return [
            Segment(start=start, end=end, bulge=bulge, controls=own)
            for (start, end, bulge), own in zip(self.pieces(), controls, strict=True)
        ]

    def moved(self, at: Callable[[Point], Point], *, turned_over: bool = False) -> ClosedPath:
        """The same edge somewhere else: see `Segment.moved`."""
        return closed_path([one.moved(at, turned_over=turned_over) for one in self.segments()])

    def chords(self, *, most_deg: float = 5.0) -> list[Point]:
        """The same edge in straight pieces, each arc in chords of at most this angle, for a picture."""
        found: list[Point] = []
        for one in self.segments():
            if one.controls is not None:
                found += _cubic_points(one, max(2, math.ceil(60.0 / most_deg)))[:-1]
            else:
                found += [one.start, *_between(one.start, one.end, one.bulge, math.radians(most_deg))]
        return found

    def area_mm2(self) -> float:
        """What it encloses, mm2, whichever way round it runs: the corners' polygon and what lies beyond each side."""
        doubled = 0.0
        for one in self.segments():
            (x0, y0), (x1, y1) = one.start, one.end
            doubled += x0 * y1 - x1 * y0 + 2.0 * _beyond_chord(one)
        return 0.5 * abs(doubled)


def closed_path(segments: Sequence[Segment]) -> ClosedPath:
    """A closed edge of these pieces, the last of which ends where the first begins."""
    curved = any(one.controls is not None for one in segments)
    return ClosedPath(
        points=tuple(one.start for one in segments),
        bulges=tuple(one.bulge for one in segments),
        controls=tuple(one.controls for one in segments) if curved else (),
    )


def _beyond_chord(one: Segment) -> float:
    """The area between a piece and its chord, positive to the right of it, in mm2."""
    if one.controls is not None:
        a, b, c, d = one.start, *one.controls, one.end
        # Half the integral of x dy - y dx along it, less the same along the chord from d back to a.
        return (
            6.0 * _cross(a, b) + 3.0 * (_cross(a, c) + _cross(b, c) + _cross(b, d)) + 6.0 * _cross(c, d)
        ) / 20.0 - 0.45 * _cross(a, d)
    if not one.bulge:
        return 0.0
    angle = 4.0 * math.atan(one.bulge)
    radius = math.dist(one.start, one.end) / (2.0 * math.sin(0.5 * angle))
    return 0.5 * radius * radius * (angle - math.sin(angle))


def _cross(a: Point, b: Point) -> float:
    return a[0] * b[1] - a[1] * b[0]


def _between(start: Point, end: Point, bulge: float, most: float) -> list[Point]:
    """Points on an arc between its ends, halving it until each piece turns by no more than this."""
    if 4.0 * math.atan(abs(bulge)) <= most:
        return []
    middle, half = middle_of_arc(start, end, bulge), math.tan(0.5 * math.atan(bulge))
    return [*_between(start, middle, half, most), middle, *_between(middle, end, half, most)]


def middle_of_arc(start: Point, end: Point, bulge: float) -> Point:
    """The point half-way along an arc, mm.

    Parameters
    ----------
    start : Point
        Where it begins, in mm.
    end : Point
        Where it ends, in mm.
    bulge : float
        Tangent of a quarter of its angle, positive when it turns counter-clockwise.
    """
    (x0, y0), (x1, y1) = start, end
    return 0.5 * (x0 + x1) + 0.5 * bulge * (y1 - y0), 0.5 * (y0 + y1) - 0.5 * bulge * (x1 - x0)


@dataclass(frozen=True, kw_only=True)
class Circle:
    """The circle of an arc: its middle, its radius, the angle it begins at and the angle it turns by, radians."""

    centre: Point
    radius_mm: float
    begins: float
    turns: float

    def at(self, share: float) -> Point:
        """The point so far along the arc, 0 to 1."""
        angle = self.begins + share * self.turns
        (x, y), radius = self.centre, self.radius_mm
        return x + radius * math.cos(angle), y + radius * math.sin(angle)


def circle_of(arc: Segment) -> Circle:
    """The circle that an arc lies on."""
    (x0, y0), (x1, y1), bulge = arc.start, arc.end, arc.bulge
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    x, y = 0.5 * (x0 + x1) - off * (y1 - y0), 0.5 * (y0 + y1) + off * (x1 - x0)
    return Circle(
        centre=(x, y),
        radius_mm=math.dist(arc.start, arc.end) * (1.0 + bulge * bulge) / (4.0 * abs(bulge)),
        begins=math.atan2(y0 - y, x0 - x),
        turns=4.0 * math.atan(bulge),
    )


def arc_through(start: Point, middle: Point, end: Point) -> Segment:
    """The arc from `start` through `middle` to `end`; a straight line where the three are in line.

    Parameters
    ----------
    start : Point
        Where it begins, in mm.
    middle : Point
        Any other point of it, in mm.
    end : Point
        Where it ends, in mm.
    """
    (x0, y0), (x1, y1), (x2, y2) = start, middle, end
    first = math.atan2(y1 - y0, x1 - x0)
    second = math.atan2(y2 - y1, x2 - x1)
    # The tangent turns by half the arc's angle from the first chord to the second (inscribed angles).
    half = math.remainder(second - first, 2.0 * math.pi)
    bulge = math.tan(0.5 * half)
    return Segment(start=start, end=end, bulge=0.0 if abs(bulge) < SAME_ANGLE else bulge)


def cubic_at(one: Segment, share: float) -> Point:
    """The point of a cubic curve so far along it, 0 to 1."""
    assert one.controls is not None
    rest = 1.0 - share
    weights = (rest**3, 3.0 * rest * rest * share, 3.0 * rest * share * share, share**3)
    points = (one.start, *one.controls, one.end)
    x = sum(w * p[0] for w, p in zip(weights, points, strict=True))
    return x, sum(w * p[1] for w, p in zip(weights, points, strict=True))


def part_of(one: Segment, low: float, high: float) -> Segment:
    """The part of a piece from one share of it to another.

    Parameters
    ----------
    one : Segment
        A line, an arc or a cubic.
    low : float
        The share of it where the part begins, 0 to 1.
    high : float
        Where it ends; below `low` the part runs backwards.
    """
    if low > high:
        return part_of(one, high, low).backwards()
    if one.controls is not None:
        return _first_part(_first_part(one.backwards(), 1.0 - low).backwards(), (high - low) / (1.0 - low))
    if one.bulge:
        circle = circle_of(one)
        bulge = math.tan(0.25 * (high - low) * circle.turns)
        return Segment(start=circle.at(low), end=circle.at(high), bulge=bulge)
    (x0, y0), (x1, y1) = one.start, one.end
    ends = [(x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in (low, high)]
    return Segment(start=ends[0], end=ends[1])


def _first_part(one: Segment, share: float) -> Segment:
    """A cubic curve as far as this share of it (de Casteljau)."""
    assert one.controls is not None

    def mid(a: Point, b: Point) -> Point:
        return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])

    a, b, c, d = one.start, *one.controls, one.end
    ab, bc, cd = mid(a, b), mid(b, c), mid(c, d)
    abc, bcd = mid(ab, bc), mid(bc, cd)
    return Segment(start=a, end=mid(abc, bcd), controls=(ab, abc))


def arc_steps(radius_mm: float, angle: float, tolerance_mm: float) -> int:
    """How many chords keep an arc of this radius and angle (radians) within the tolerance.

    Parameters
    ----------
    radius_mm : float
        In mm.
    angle : float
        In radians.
    tolerance_mm : float
        How far a chord may stray from the arc, in mm.
    """
    bulge = min(tolerance_mm / radius_mm, 1.0)
    return max(1, math.ceil(angle / (2.0 * math.acos(1.0 - bulge)) - SAME_ANGLE))


def segment_chords(one: Segment, tolerance_mm: float) -> list[Point]:
    """The corners of straight pieces that stray from this piece by no more than the tolerance, both ends with it.

    The furthest points along x and along y are corners, so that a length measured on the chords is the curve's own.
    """
    if one.is_straight:
        return [one.start, one.end]
    cubic = one.controls is not None
    stops = _cubic_stops(one) if cubic else _arc_stops(circle_of(one))
    found: list[Point] = []
    for low, high in pairwise(stops):
        part = part_of(one, low, high)
        found += (_cubic_chords(part, tolerance_mm) if cubic else _arc_chords(part, tolerance_mm))[:-1]
    found[0] = one.start
    return [*found, one.end]


def curve_chords(curve: Iterable[Segment], tolerance_mm: float) -> list[Point]:
    """The corners of straight pieces along a whole curve: see `segment_chords`."""
    found: list[Point] = []
    last: Point | None = None
    for one in curve:
        *inner, last = segment_chords(one, tolerance_mm)
        found += inner
    return found if last is None else [*found, last]


def same_area_chords(curve: Iterable[Segment], tolerance_mm: float) -> list[Point]:
    """Chords as `curve_chords` makes them, their inner corners moved out so that they enclose what the curve does.

    For a mesh: chords with their corners on a round end lie inside it and leave out wood at the very tip. Corners
    move by two thirds of the sagitta or so; where pieces meet they stay. Held by tests/drum/test_arcs.py.
    """
    found: list[Point] = []
    last: Point | None = None
    for one in curve:
        *inner, last = _moved_out(one, segment_chords(one, tolerance_mm))
        found += inner
    return found if last is None else [*found, last]


def _moved_out(one: Segment, corners: list[Point]) -> list[Point]:
    """The chords of one piece with its inner corners moved so that the area beyond the chords is made good."""
    if one.is_straight or len(corners) < 3:
        return corners
    places = np.array(corners)
    steps = np.diff(places, axis=0)
    long = np.hypot(*steps.T)
    normals = np.column_stack([steps[:, 1], -steps[:, 0]]) / long[:, None]  # to the right of the way
    lost = _beyond_chords(one, places)
    # Half of what a chord leaves out is made good at each of its corners; a chord at an end has one that may move.
    shares = np.full((len(lost), 2), 0.5)
    shares[0], shares[-1] = (0.0, 1.0), (1.0, 0.0)
    area = shares[:-1, 1] * lost[:-1] + shares[1:, 0] * lost[1:]
    towards = normals[:-1] * long[:-1, None] + normals[1:] * long[1:, None]
    gained = 0.5 * np.hypot(*towards.T)
    unit = towards / np.hypot(*towards.T)[:, None]
    places[1:-1] += unit * (area / gained)[:, None]
    return [(float(x), float(y)) for x, y in places]


def _beyond_chords(one: Segment, places: np.ndarray) -> np.ndarray:
    """The area between a piece and each of its chords, positive to the right of its way, in mm2."""
    if one.controls is None:
        circle = circle_of(one)
        half = np.hypot(*np.diff(places, axis=0).T) / (2.0 * circle.radius_mm)
        angles = 2.0 * np.arcsin(np.minimum(half, 1.0))
        return np.asarray(
            0.5 * circle.radius_mm**2 * (angles - np.sin(angles)) * math.copysign(1.0, circle.turns)
        )
    shares = _cubic_shares(one, places)
    parts = [part_of(one, low, high) for low, high in pairwise(shares)]
    return np.array([_beyond_chord(part) for part in parts])


def _cubic_shares(one: Segment, places: np.ndarray) -> list[float]:
    """Where along a cubic curve its chords' corners are: between its stops they are even steps."""
    stops = np.array([cubic_at(one, stop) for stop in _cubic_stops(one)])
    at = [int(np.argmin(np.hypot(*(places - stop).T))) for stop in stops]
    found = [0.0]
    for (low, high), (first, last) in zip(pairwise(_cubic_stops(one)), pairwise(at), strict=True):
        found += [low + (high - low) * step / (last - first) for step in range(1, last - first + 1)]
    return found


def _arc_stops(circle: Circle) -> list[float]:
    """Where on an arc it runs along x or y, as shares of it, with both ends."""
    low, high = sorted((circle.begins, circle.begins + circle.turns))
    quarter = 0.5 * math.pi
    angles = [quarter * n for n in range(math.ceil(low / quarter), math.floor(high / quarter) + 1)]
    inner = [a for a in angles if low + SAME_ANGLE < a < high - SAME_ANGLE]
    return [0.0, *sorted((a - circle.begins) / circle.turns for a in inner), 1.0]


def _arc_chords(arc: Segment, tolerance_mm: float) -> list[Point]:
    circle = circle_of(arc)
    steps = arc_steps(circle.radius_mm, abs(circle.turns), tolerance_mm)
    return [circle.at(step / steps) for step in range(steps + 1)]


def _cubic_stops(one: Segment) -> list[float]:
    """Where a cubic curve runs along x or y, as shares of it, with both ends."""
    points = np.array((one.start, *(one.controls or ()), one.end))
    found = {0.0, 1.0}
    for steps in np.diff(points, axis=0).T:
        slope = np.array([steps[0] - 2.0 * steps[1] + steps[2], 2.0 * (steps[1] - steps[0]), steps[0]])
        size = float(abs(slope).max())
        roots = np.roots(np.where(abs(slope) > 1e-12 * size, slope, 0.0)) if size > 0.0 else ()
        real = [float(root.real) for root in roots if abs(root.imag) < SAME_SHARE]
        found |= {share for share in real if SAME_SHARE < share < 1.0 - SAME_SHARE}
    return sorted(found)


def _cubic_chords(one: Segment, tolerance_mm: float) -> list[Point]:
    """Even steps: a chord of share h strays by at most h²/8 of the second derivative, largest at an end."""
    a, b, c, d = (np.array(p) for p in (one.start, *(one.controls or ()), one.end))
    bend = 6.0 * max(float(np.hypot(*(a - 2.0 * b + c))), float(np.hypot(*(b - 2.0 * c + d))))
    return _cubic_points(one, max(1, math.ceil(math.sqrt(bend / (8.0 * tolerance_mm)))))


def _cubic_points(one: Segment, steps: int) -> list[Point]:
    return [one.start, *(cubic_at(one, step / steps) for step in range(1, steps)), one.end]


def joined_up(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """The same pieces, each beginning to the last bit where the one before it ends."""
    found: list[Segment] = []
    for one in segments:
        found.append(replace(one, start=found[-1].end) if found else one)
    return tuple(found)
