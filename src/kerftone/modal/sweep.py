"""A section of the walls, swept round the box: bricks and prisms, mitred at the corners.

Along a wall every piece of the section is drawn from one mark to the next. At a corner it runs on to the mitre, where
the two walls' sections meet point to point. There the section's inner edge has no length: what borders on it comes to
be a prism, a pyramid or a tetrahedron.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerftone.modal.cross_section import CrossSection, Place
from kerftone.modal.solid import Cells, Point


@dataclass(frozen=True)
class Stop:
    """Where a wall's section stands: at a mark along it, or (way -1 or 1) on the mitre beyond an end mark."""

    mark: float
    way: float = 0.0


@dataclass(frozen=True)
class Side:
    """One wall: its name, axis it runs along, its inner face, and which way is outwards."""

    name: str
    axis: int
    inner: float
    out: float

    def at(self, stop: Stop, place: Place) -> Point:
        """Where a place of the section lies in the drum."""
        along, across = stop.mark + stop.way * place[0], self.inner + self.out * place[0]
        return (across, along, place[1]) if self.axis else (along, across, place[1])


def sweep_round(
    cells: Cells,
    section: CrossSection,
    inside: tuple[float, float, float, float],
    marks: tuple[list[float], ...],
) -> None:
    """The section all round.

    The outer faces of corners are left unnamed: they hardly move. Corners belong to front and back, which run
    the full length.

    Parameters
    ----------
    cells : Cells
        The mesh under construction.
    section : CrossSection
        The section of all four walls.
    inside : tuple
        The walls' inner faces: x0, y0, x1, y1, in mm.
    marks : tuple[list[float], ...]
        Where front, back, left and right walls are parted along, from inner face to inner face, rising, in mm.
    """
    x0, y0, x1, y1 = inside
    sides = (
        Side("front", 0, y0, -1.0),
        Side("back", 0, y1, 1.0),
        Side("left", 1, x0, -1.0),
        Side("right", 1, x1, 1.0),
    )
    for side, along in zip(sides, marks, strict=True):
        stops = [Stop(along[0], -1.0), *map(Stop, along), Stop(along[-1], 1.0)]
        for one, other in pairwise(stops):
            corner = bool(one.way or other.way)
            wall = "wall x" if corner or side.axis == 0 else "wall y"
            for piece in section.pieces:
                start, end = ([side.at(stop, at) for at in piece.corners] for stop in (one, other))
                _cell(cells, wall if piece.part == "wall" else piece.part, start, end)
            for edge in section.edges:
                name = edge.name if edge.name != "outer" else "" if corner else side.name
                if name:
                    a, b = edge.corners
                    ring = (side.at(one, a), side.at(one, b), side.at(other, b), side.at(other, a))
                    cells.face(name, list(dict.fromkeys(ring)))


def _cell(cells: Cells, material: str, start: list[Point], end: list[Point]) -> None:
    """What lies between two polygons, which may have corners in common, in the order that the mesh wants."""
    apart = [at for at, (a, b) in enumerate(zip(start, end, strict=True)) if a != b]
    count = len(start)
    if len(apart) == count:
        low, high = start, end
    elif len(apart) == 1:  # a tetrahedron
        (at,) = apart
        low, high = [start[k] for k in range(count) if k != at], [start[at], end[at]]
        low, high = [*low, high[0]], high[1:]
    elif count == 3:  # a pyramid
        (tip,) = (k for k in range(3) if k not in apart)
        a, b = (tip + 1) % 3, (tip + 2) % 3
        low, high = [start[a], start[b], end[b], end[a]], [start[tip]]
    else:  # a prism, standing on the corner where two pairs of corners meet
        a, b = apart if apart != [0, 3] else (3, 0)
        before, after = (a - 1) % 4, (b + 1) % 4
        low, high = [start[before], start[a], end[a]], [start[after], start[b], end[b]]
    base, tip_of = np.array(low[:3]), np.array(high[0])
    if np.linalg.det(base - tip_of) * (1.0 if len(low) + len(high) == 4 else -1.0) < 0.0:
        low, high = ([low[0], *low[:0:-1]], [high[0], *high[:0:-1]]) if len(low) > 2 else (low, high)
    cells.raise_column(material, low, high)
