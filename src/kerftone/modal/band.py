"""What stands round the inside of the drum: the rim of the top, walls and bottom, as columns of bricks.

From above, the band is parted at every line where one of its parts begins or ends: the walls' faces, the top's edge,
the gaps of clearances, root bars, the rabbets of lips. In each column so made the parts lie on one another from the
bottom up; a gap is a column in which nothing stands. Places in the band are told by how far outwards of the walls'
inner face they lie, in mm, negative inside. Heights are from the top's underside.

The glue is thin: layers of the walls are short under it and grow away from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPoint, delaunay_triangles
from shapely.geometry.polygon import orient

from kerftone.drum.design import Drum
from kerftone.drum.seat import below_mm, drop_mm, end_seat_mm, gap_mm, over_mm, seat_mm
from kerftone.modal.band_columns import INSIDE, SAME_MM, Piece, Quad, Stacks, clearance_mm
from kerftone.modal.plan import Plan
from kerftone.modal.solid import LOWER_LAYER, Cells, Point, raise_top
from kerftone.modal.strip import strip_mm

GLUE_LAYER = 1.25
"""Height of the first layer of a wall under the glue, in widths of the glued band; each next is larger."""
LAYER_GROWTH = 2.0
"""Each layer of a wall is so many times as high as the one above it: own judgement."""
FREE_LAYER = 0.3
"""A top beside an open gap turns on its glue: another layer of the walls so many widths of it down, without which the
ratio of the errors of two orders falls to 3.2 and a note comes out 9 cents sharp."""
BOTTOM_MESH_MM = 30.0
"""With triangles of 60 mm a mode of the bottom lay 19 cents low, with 20 mm it moves by 1 cent more."""
NEAR_MM = 1e-6
"""Rounding, in mm: lines nearer than this are the same line."""


@dataclass(frozen=True)
class Bands:
    """The lines at which the band is parted at sides and ends, in mm outwards of the walls' inner faces."""

    sides: list[float]
    ends: list[float]


def bands(drum: Drum) -> Bands:
    """Where the band of this drum is parted: from the free underside of the top to the walls' outer faces."""
    over, gap, wall = over_mm(drum), gap_mm(drum), drum.box.wall_mm
    inner, outer = (-gap, 0.0) if drum.box.mount == "on a lip" else (0.0, gap)
    lines = [inner, 0.0, over, over + outer, wall]
    bottom = drum.bottom
    further = []
    if bottom is not None and bottom.fit == "on a lip":
        further = [-clearance_mm(drum), bottom.lip_mm, bottom.lip_mm + bottom.clearance_mm]
    starts = (over - seat_mm(drum), over - end_seat_mm(drum))
    strip = strip_mm(drum)
    sides, ends = (_parted([start - strip, start, *lines], further) for start in starts)
    return Bands(sides, ends)


def _parted(lines: list[float], further: list[float]) -> list[float]:
    """These lines in order, each once, from the first on; further ones only where they are not near any of these."""
    kept: list[float] = []
    for line in sorted(lines):
        if line >= lines[0] - NEAR_MM and (not kept or line - kept[-1] > NEAR_MM):
            kept.append(line)
    low, high = kept[0], kept[-1]
    new = [x for x in further if low < x < high and min(abs(x - line) for line in kept) >= SAME_MM]
    return sorted([*kept, *new])


def wall_levels(glued_mm: float, height_mm: float, *marks_mm: float) -> list[float]:
    """Heights of the layers of a wall, from the glue down: thin under the glue, then longer.

    One of them is at each of the marks, such as how far down the lower edge of a root bar is.
    """
    levels, step = [0.0], GLUE_LAYER * glued_mm
    while height_mm + levels[-1] > 1.7 * step:
        levels.append(levels[-1] - step)
        step *= LAYER_GROWTH
    levels.append(-height_mm)
    for mark in (mark for mark in marks_mm if 0.0 < mark < height_mm):
        kept = [level for level in levels[1:-1] if abs(level + mark) > 0.4 * min(glued_mm, mark)]
        levels = sorted({0.0, *kept, -mark, -height_mm}, reverse=True)
    return levels


def raise_band(cells: Cells, drum: Drum, plan: Plan, *, layered: bool) -> None:
    """The rim of the top, the walls and the bottom.

    Parameters
    ----------
    cells : Cells
        Where the solid is put together; added to.
    drum : Drum
        Its walls, band and bottom are raised.
    plan : Plan
        The plan of the top that is meshed already, in mm.
    layered : bool
        Whether the top is in two layers, so that the rim is parted at the same height.
    """
    lines = bands(drum)
    ring = _ring(drum, lines)
    drop = drop_mm(drum)
    rim = [drop] if drop else [LOWER_LAYER * drum.top.thickness_mm] if layered else []
    marks = sorted({*_wall_marks(drum), *rim})
    stacks = Stacks(drum, marks, rim, under_bars=ring[1] == 0.0)
    inside = Quad((), INSIDE, INSIDE)
    columns = [(list(quad.corners), quad) for quad in _quads(plan, lines)]
    if drum.bottom is not None:
        frame, rest = _inside(plan, ring)
        columns += [(corners, inside) for corners in rest]
        columns += [(corners, Quad((), INSIDE, -NEAR_MM)) for corners in frame]
    lowest = stacks.floor - (
        below_mm(drum) if drum.bottom is None or drum.bottom.fit == "on a lip" else drum.bottom.thickness_mm
    )
    for corners, quad in columns:
        pieces = stacks.pieces(quad)
        if not quad.corners:
            pieces = [piece for piece in pieces if piece[0] == "bottom"]
        _raise(cells, corners, quad, pieces, lowest)


def _raise(cells: Cells, corners: list[Any], quad: Quad, pieces: list[Piece], lowest: float) -> None:
    """One column and its named faces."""

    def at(z: float) -> list[Point]:
        return [(x, y, z) for x, y in corners]

    for name, low, high in pieces:
        cells.raise_column(name, at(low), at(high))
        if abs(low - lowest) < NEAR_MM:
            cells.face("base", at(low))
        elif name == "rim" and low == 0.0 and not any(other[2] == 0.0 for other in pieces):
            cells.face("under", at(low))
        elif name == "bottom" and not any(other[2] == low for other in pieces):
            cells.face("below", at(low))
        if quad.outer and name != "bottom":
            (x0, y0), (x1, y1) = corners[:2]
            cells.face(quad.outer, [(x0, y0, low), (x1, y1, low), (x1, y1, high), (x0, y0, high)])
    if quad.corners:
        cells.face("upper, rim", at(max(high for _, _, high in pieces)))


def _wall_marks(drum: Drum) -> list[float]:
    """The heights of the layers of the walls, and of the edges of root bars."""
    drop, box = drop_mm(drum), drum.box
    bar = box.root_bar_height_mm if box.root_bar_mm > 0.0 else 0.0
    levels = wall_levels(over_mm(drum), box.height_mm, *((drop, drop + bar) if bar else ()))
    if gap_mm(drum) > 0.0:
        levels.append(-FREE_LAYER * over_mm(drum))
    bottom = drum.bottom
    if bottom is not None and bottom.fit == "on a lip":
        levels += [share * bottom.lip_mm - box.height_mm for share in (FREE_LAYER, GLUE_LAYER)]
    return [drop + level for level in levels]


def _inner_marks(plan: Plan) -> dict[str, NDArray[Any]]:
    """Where the plan's triangles meet the edge of the free underside, rising along each side of it."""
    x0, y0, x1, y1 = plan.inner
    points, near = plan.points_mm, NEAR_MM
    return {
        "front": np.unique(points[abs(points[:, 1] - y0) < near, 0]),
        "back": np.unique(points[abs(points[:, 1] - y1) < near, 0]),
        "left": np.unique(points[abs(points[:, 0] - x0) < near, 1]),
        "right": np.unique(points[abs(points[:, 0] - x1) < near, 1]),
    }


def _quads(plan: Plan, lines: Bands) -> list[Quad]:
    """The band round the inside: sides, ends and corners."""
    x0, y0, x1, y1 = plan.inner
    marks = _inner_marks(plan)
    quads = []
    for a, b, middle, outer in _steps(lines.sides):
        for u, v in pairwise(marks["front"]):
            corners = ((u, y0 - b), (v, y0 - b), (v, y0 - a), (u, y0 - a))
            quads.append(Quad(corners, INSIDE, middle, "front" if outer else None))
        for u, v in pairwise(marks["back"]):
            corners = ((v, y1 + b), (u, y1 + b), (u, y1 + a), (v, y1 + a))
            quads.append(Quad(corners, INSIDE, middle, "back" if outer else None))
    for a, b, middle, outer in _steps(lines.ends):
        for u, v in pairwise(marks["left"]):
            corners = ((x0 - b, v), (x0 - b, u), (x0 - a, u), (x0 - a, v))
            quads.append(Quad(corners, middle, INSIDE, "left" if outer else None))
        for u, v in pairwise(marks["right"]):
            corners = ((x1 + b, u), (x1 + b, v), (x1 + a, v), (x1 + a, u))
            quads.append(Quad(corners, middle, INSIDE, "right" if outer else None))
    return quads + _corners(plan, lines)


def _steps(lines: list[float]) -> list[tuple[float, float, float, bool]]:
    """Each strip between two lines: from and to, outwards of the free underside; its middle; if it is the last."""
    start = lines[0]
    pairs = list(pairwise(lines))
    return [(a - start, b - start, 0.5 * (a + b), at == len(pairs) - 1) for at, (a, b) in enumerate(pairs)]


def _corners(plan: Plan, lines: Bands) -> list[Quad]:
    """The four corners of the band. The outer faces of corners are left unnamed: they hardly move."""
    x0, y0, x1, y1 = plan.inner
    quads = []
    for a, b, end, _ in _steps(lines.ends):
        for c, d, side, _ in _steps(lines.sides):
            for xs in ((x0 - b, x0 - a), (x1 + a, x1 + b)):
                for ys in ((y0 - d, y0 - c), (y1 + c, y1 + d)):
                    corners = ((xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1]))
                    quads.append(Quad(corners, end, side))
    return quads


def _ring(drum: Drum, lines: Bands) -> tuple[float, float]:
    """How far inside the band the body of a bottom on a lip ends, at the ends and at the sides; 0 for not at all."""
    if drum.bottom is None or drum.bottom.fit != "on a lip":
        return 0.0, 0.0
    ends, sides = (clearance_mm(drum) + found[0] for found in (lines.ends, lines.sides))
    return tuple(0.0 if inside < SAME_MM else inside for inside in (ends, sides))  # type: ignore[return-value]


def _inside(plan: Plan, ring: tuple[float, float]) -> tuple[list[Any], list[Any]]:
    """The bottom inside the band: a frame as wide as `ring` where it is thin, and triangles in that.

    They meet the band's bricks point to point.
    """
    x0, y0, x1, y1 = plan.inner
    marks = _inner_marks(plan)
    edge = [(x, y0) for x in marks["front"]] + [(x1, y) for y in marks["right"][1:]]
    edge += [(x, y1) for x in marks["back"][-2::-1]] + [(x0, y) for y in marks["left"][-2:0:-1]]
    (dx, dy), (mx, my) = ring, (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    shrink = 1.0 - 2.0 * dx / (x1 - x0), 1.0 - 2.0 * dy / (y1 - y0)
    inner = [(mx + shrink[0] * (x - mx), my + shrink[1] * (y - my)) for x, y in edge]
    frame = []
    for (a, b), (c, d) in zip(pairwise([*edge, edge[0]]), pairwise([*inner, inner[0]]), strict=True):
        level = a[1] == b[1]
        if dy > 0.0 if level else dx > 0.0:
            frame.append([a, b, d, c])
    counts = [max(2, round(span / BOTTOM_MESH_MM)) for span in (x1 - x0, y1 - y0)]
    xs = np.linspace(x0, x1, counts[0] + 1)[1:-1]
    ys = np.linspace(y0, y1, counts[1] + 1)[1:-1]
    points = MultiPoint(inner + [(x, y) for x in xs for y in ys])
    triangles = [piece for piece in delaunay_triangles(points).geoms if piece.area > 1e-6]
    return frame, [list(orient(piece).exterior.coords[:-1]) for piece in triangles]


def in_band(drum: Drum, points_mm: NDArray[Any], skin_mm: float) -> NDArray[Any]:
    """The same places (p, 3), those in the gaps and rabbets of the band or under a bottom moved up or down into wood.

    As they are on a drum that has none. Held by tests/air/test_mounts.py.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    points_mm : NDArray[Any]
        Places (p, 3), z from the underside of the top, in mm.
    skin_mm : float
        How deep in the wood a place is put, in mm.
    """
    lip = drum.bottom is not None and drum.bottom.fit == "on a lip"
    if gap_mm(drum) == 0.0 and not lip:
        return points_mm
    lines, over = bands(drum), over_mm(drum)
    stacks = Stacks(drum, [], [], under_bars=_ring(drum, lines)[1] == 0.0)
    moved = np.array(points_mm, dtype=float)
    for point in moved:
        x, y, z = (float(at) for at in point)
        ends = max(over - x, x - drum.top.length_mm + over)
        sides = max(over - y, y - drum.top.width_mm + over)
        if ends < lines.ends[0] and sides < lines.sides[0]:
            pieces = [one for one in stacks.pieces(Quad((), INSIDE, max(ends, sides))) if one[0] == "bottom"]
            if z > -NEAR_MM or not pieces:
                continue
        else:
            ends, sides = (
                out if out >= start else INSIDE
                for out, start in ((ends, lines.ends[0]), (sides, lines.sides[0]))
            )
            pieces = stacks.pieces(Quad((), ends, sides))
        point[2] = min(
            (min(max(z, a + skin_mm), b - skin_mm) for _, a, b in pieces), key=lambda new: abs(new - z)
        )
    return moved


def build(drum: Drum, plan: Plan, *, layered: bool) -> Any:
    """The solid of this drum as a mesh in metres: z = 0 at the top's underside. Bores need the top in two layers.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    plan : Plan
        The meshed plan of its top, in mm.
    layered : bool
        Whether the top is in two layers; bores need it.
    """
    cells = Cells()
    lip = drop_mm(drum) or None
    raise_top(cells, plan, thickness_mm=drum.top.thickness_mm, layered=layered, lip_mm=lip)
    raise_band(cells, drum, plan, layered=layered)
    return cells.mesh()
