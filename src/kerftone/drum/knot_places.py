"""Where the knots of a board lie on a sawn top: in a tongue, its root, the saw cut round it, or well away from all.

Round a knot the grain bends. It is taken to be straight again a knot's radius from its edge: own judgement. A tongue
keeps clear of that wood, and so does the strip between its root line and what its root is glued to. A saw cut keeps
clear of the knot itself, which turns a blade aside and falls out. In mm, from the left end and the front edge of
the top. Held by tests/drum/test_knot_places.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Point, Polygon, box
from shapely.ops import nearest_points

from kerftone.drum.design import Drum, Side
from kerftone.drum.knots import Knot
from kerftone.drum.outline import outline
from kerftone.drum.plan_lines import Layout
from kerftone.drum.seat import end_seat_mm

BENT_SHARE = 2.0
"""Wood is disturbed as far as so many radii of a knot from its middle: own judgement."""
CLEAR_MM = 0.5
"""A board that is moved off a knot is moved by so much more: a pencil line."""


def keep_off_mm(knot: Knot, kerf_mm: float) -> float:
    """How far a knot's middle must at least lie from a tongue and its root."""
    radius = 0.5 * knot.diameter_mm
    return max(BENT_SHARE * radius, radius + kerf_mm)


def root_strip_mm(drum: Drum) -> float:
    """How far behind its root line a tongue still bends: as far as the top is thick (Saint-Venant; own judgement),
    and no further than where it is glued."""
    return min(drum.top.thickness_mm, max(0.0, drum.slots.end_margin_mm - end_seat_mm(drum)))


@lru_cache(maxsize=8)
def with_roots(drum: Drum) -> tuple[Polygon, ...]:
    """Each tongue with the strip behind its root. Raises NeedsFitError without all places and lengths."""
    drawn, strip = outline(drum), root_strip_mm(drum)
    found = []
    for tongue, shape in zip(drum.tongues, drawn.tongues, strict=True):
        assert tongue.row is not None and tongue.side is not None
        root, (front, back) = drawn.layout.root_mm(tongue.side), drawn.layout.edges_mm(tongue.row)
        behind = box(*sorted_span(root, root - strip if tongue.side == "left" else root + strip, front, back))
        found.append(shapely.union_all([shape, behind]) if strip else shape)
    return tuple(found)


def sorted_span(x: float, other: float, front: float, back: float) -> tuple[float, float, float, float]:
    """Two x in order, between two y, as a box.

    Parameters
    ----------
    x : float
        One end, in mm.
    other : float
        The other, in mm.
    front : float
        The front edge, in mm.
    back : float
        The back edge, in mm.
    """
    return min(x, other), front, max(x, other), back


def tongue_at(drum: Drum, knot: Knot) -> int | None:
    """Which tongue this knot, or the grain it bends, spoils: the tongue, its root or its saw cut; None for none."""
    place, far = Point(knot.x_mm, knot.y_mm), keep_off_mm(knot, drum.slots.kerf_mm)
    away = [tongue.distance(place) for tongue in with_roots(drum)]
    nearest = int(np.argmin(away))
    return nearest if away[nearest] < far else None


def clear_shift_mm(drum: Drum) -> tuple[float, float] | None:
    """By how much all knots must move, along and across, to spoil no tongue; the shortest such way found, or None.

    Each knot in a tongue is taken to the nearest place clear of all tongues, and the others with it.
    """
    tongues = shapely.union_all(list(with_roots(drum)))
    found: list[tuple[float, float]] = []
    for knot in drum.top.knots_mm:
        keep_off = tongues.buffer(keep_off_mm(knot, drum.slots.kerf_mm) + CLEAR_MM)
        place = Point(knot.x_mm, knot.y_mm)
        if keep_off.contains(place):
            near, _ = nearest_points(keep_off.boundary, place)
            found.append((near.x - place.x, near.y - place.y))
    for x, y in sorted(found, key=lambda way: math.hypot(*way)):
        if all(tongue_at(drum, knot) is None for knot in moved_by(drum.top.knots_mm, x, y)):
            return x, y
    return None


def moved_by(knots: Sequence[Knot], x_mm: float, y_mm: float) -> tuple[Knot, ...]:
    """The same knots so much further along and across.

    Parameters
    ----------
    knots : Sequence[Knot]
        The knots.
    x_mm : float
        Along, in mm.
    y_mm : float
        Across, in mm.
    """
    return tuple(Knot(knot.x_mm + x_mm, knot.y_mm + y_mm, knot.diameter_mm) for knot in knots)


def spans(
    lines: Layout, places: Sequence[tuple[int, Side]], lengths_mm: Sequence[float], strip_mm: float
) -> NDArray[np.float64]:
    """What wood tongues of these lengths take with the strips behind their roots, as boxes: (t, 4), left, front,
    right, back.

    Parameters
    ----------
    lines : Layout
        Where rows and root lines are.
    places : Sequence[tuple[int, Side]]
        Row and side of each.
    lengths_mm : Sequence[float]
        From root line to tip, in mm.
    strip_mm : float
        Behind the root line, in mm.
    """
    found = []
    for (row, side), length in zip(places, lengths_mm, strict=True):
        way = 1.0 if side == "left" else -1.0
        root = lines.root_mm(side)
        found.append(sorted_span(root - way * strip_mm, root + way * length, *lines.outermost_mm(row)))
    return np.array(found)
