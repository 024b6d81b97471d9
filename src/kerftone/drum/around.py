"""What the saw takes when it goes round the end of a tongue: everything within a kerf of it.

A straight piece has a straight strip beside it, an arc an arc's, a cubic curve one whose outer edge is smooth through
points of the true offset. Outward corners are sawn on to where the two cuts meet, no further than twice the kerf.
mm, board coordinates.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import shapely
from shapely.geometry import Polygon

from kerftone.drum.arcs import Curve, Point, Segment, circle_of, cubic_at, curve_chords, part_of
from kerftone.drum.ends import smooth_through

MITRE = 2.0
"""A corner sharper than 60 degrees is cut off: its point would lie further out than so many kerfs. Own judgement."""
OFFSET_PIECES = 8
"""Pieces of a cubic curve between points of its offset: within a thousandth of a millimetre on usual ends."""
HAIR = 1e-6
"""A share of a curve so short that its chord is its tangent."""


def kerf_round(
    end: Curve,
    *,
    sides: tuple[Segment, Segment],
    kerf_mm: float,
    way: float,
    tolerance_mm: float,
) -> tuple[Any, list[Segment]]:
    """The wood within a kerf of a tongue's two edges and end (the tongue itself with it), and its curved edges.

    Parameters
    ----------
    end : Curve
        The tongue's end, from front to back.
    sides : tuple[Segment, Segment]
        The front edge from the root to the end, and the back edge from the end to the root. Beside one that bows
        nothing is taken here: `slot_room.beside_tongue` has that.
    kerf_mm : float
        How wide the saw cuts.
    way : float
        1 for a tongue that points to the right, -1 for one that points to the left.
    tolerance_mm : float
        The sagitta of the chords that stand for curves.
    """
    whole: Curve = (sides[0], *end, sides[1])
    out = (
        way * kerf_mm
    )  # to the right of the way round, which is outside for a tongue that points to the right
    parts: list[Any] = [Polygon([*curve_chords(whole, tolerance_mm)])]
    bends: list[Segment] = []
    for one in whole:
        if (math.dist(one.start, one.end) < HAIR and one.is_straight) or (one in sides and one.bulge):
            continue
        beyond = offset(one, out)
        parts.append(_strip(one, beyond, tolerance_mm))
        bends += [piece for piece in beyond if not piece.is_straight]
    parts += [_corner(one, other, out) for one, other in pairwise(whole)]
    return shapely.union_all([shapely.make_valid(part) for part in parts if part is not None]), bends


def offset(one: Segment, out_mm: float) -> Curve:
    """A piece moved sideways, to the right of its way; an arc that would vanish shrinks to its middle.

    Parameters
    ----------
    one : Segment
        The piece.
    out_mm : float
        How far, to the right; negative to the left.
    """
    if one.controls is not None:
        shares = [step / OFFSET_PIECES for step in range(OFFSET_PIECES + 1)]
        return smooth_through(
            [_beside(cubic_at(one, share), _heading(one, share), out_mm) for share in shares]
        )
    start, end = (_beside(p, _heading(one, s), out_mm) for p, s in ((one.start, 0.0), (one.end, 1.0)))
    if one.bulge:
        circle = circle_of(one)
        if circle.radius_mm + math.copysign(out_mm, one.bulge * out_mm) <= 0.0:
            return (Segment(start=circle.centre, end=circle.centre),)
    return (Segment(start=start, end=end, bulge=one.bulge),)


def _strip(one: Segment, beyond: Curve, tolerance_mm: float) -> Polygon:
    near = curve_chords((one,), tolerance_mm)
    return Polygon([*near, *reversed(curve_chords(beyond, tolerance_mm))])


def _heading(one: Segment, share: float) -> float:
    """Which way a piece runs at its start (0), its end (1) or between, radians."""
    if one.bulge:
        circle = circle_of(one)
        return circle.begins + share * circle.turns + math.copysign(0.5 * math.pi, circle.turns)
    (x0, y0), (x1, y1) = one.start, one.end
    if one.controls is not None:
        near = part_of(one, max(0.0, share - HAIR), min(1.0, share + HAIR))
        (x0, y0), (x1, y1) = near.start, near.end
    return math.atan2(y1 - y0, x1 - x0)


def _beside(point: Point, heading: float, out_mm: float) -> Point:
    return point[0] + out_mm * math.sin(heading), point[1] - out_mm * math.cos(heading)


def _corner(one: Segment, other: Segment, out_mm: float) -> Polygon | None:
    """What is sawn at an outward corner between two strips; None where there is none."""
    at, before, after = one.end, _heading(one, 1.0), _heading(other, 0.0)
    turn = math.remainder(after - before, 2.0 * math.pi)
    if turn * out_mm <= 1e-9:
        return None
    a, b = _beside(at, before, out_mm), _beside(at, after, out_mm)
    if math.cos(0.5 * turn) < 1.0 / MITRE:
        return Polygon([at, a, b])
    tip = _beside(at, before + 0.5 * turn, out_mm / math.cos(0.5 * turn))
    return Polygon([at, a, tip, b])
