"""What stands round the inside of the drum: the rim of the top, walls and bottom.

From above, the band is parted at lines where one of its parts begins or ends: the walls' faces, the top's edge,
the gaps of clearances, root bars. In each column so made the parts lie on one another from the bottom up; a gap is a
column in which nothing stands. Places in the band are told by how far outwards of the walls' inner face they lie, in
mm, negative inside. Heights are from the top's underside.

Where gaps are open or a bottom has a lip, columns would carry the fine lines of each joint through the whole box:
there only what lies inside the walls' inner faces is columns, and the walls are a section swept round (`sweep.py`).

The glue is thin: layers of the walls are short under it and grow away from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.drum.seat import (
    below_mm,
    bottom_gap_mm,
    drop_mm,
    end_seat_mm,
    gap_mm,
    over_mm,
    pressed_mm,
    seat_mm,
)
from kerftone.modal.band_columns import INSIDE, Piece, Quad, Stacks
from kerftone.modal.cross_section import GLUE_LAYER, LAYER_GROWTH, NEAR_MM, cross_section
from kerftone.modal.floor import Marks, raise_floor
from kerftone.modal.plan import Plan
from kerftone.modal.solid import LOWER_LAYER, Cells, Point, raise_top
from kerftone.modal.strip import strip_mm
from kerftone.modal.sweep import sweep_round


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
    starts = (over - seat_mm(drum), over - end_seat_mm(drum))
    strip = strip_mm(drum)
    sides, ends = (_parted([start - strip, start, *lines]) for start in starts)
    return Bands(sides, ends)


def _parted(lines: list[float]) -> list[float]:
    """These lines in order, each once, from the first on."""
    kept: list[float] = []
    for line in sorted(lines):
        if line >= lines[0] - NEAR_MM and (not kept or line - kept[-1] > NEAR_MM):
            kept.append(line)
    return kept


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


def swept(drum: Drum) -> bool:
    """Whether the walls are a section swept round the box: beside an open gap, and over a bottom on a lip."""
    return gap_mm(drum) > 0.0 or bottom_gap_mm(drum) > 0.0


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
    drop = drop_mm(drum)
    rim = [drop] if drop else [LOWER_LAYER * drum.top.thickness_mm] if layered else []
    if swept(drum):
        lines = Bands(*([line for line in each if line <= 0.0] for each in (lines.sides, lines.ends)))
        section = cross_section(drum, layered=layered)
        marks = sorted(section.levels_mm)
        sweep_round(cells, section, *_walls(plan, lines))
    else:
        marks = sorted({*_wall_levels(drum), *rim})
    stacks = Stacks(drum, marks, rim)
    lip = drum.bottom is not None and drum.bottom.fit == "on a lip"
    lowest = stacks.floor
    if drum.bottom is not None:
        lowest -= below_mm(drum) if lip else drum.bottom.thickness_mm
    for quad in _quads(plan, lines):
        pieces = [one for one in stacks.pieces(quad) if not (lip and one[0] == "bottom")]
        _raise(cells, list(quad.corners), quad, pieces, lowest)
    if lip:
        assert drum.bottom is not None
        raise_floor(cells, drum, *_walls(plan, lines), face="below" if drum.bottom.recess_mm else "base")
    elif drum.bottom is not None:
        raise_floor(cells, drum, plan.inner, _inner_marks(plan), face="base")


def _walls(plan: Plan, lines: Bands) -> tuple[Any, Marks]:
    """The walls' inner faces, and where each wall is parted along: at the band's lines and at the plan's marks."""
    x0, y0, x1, y1 = plan.inner
    dx, dy = -lines.ends[0], -lines.sides[0]
    front, back, left, right = _inner_marks(plan)

    def along(low: float, high: float, own: list[float], steps: list[float]) -> list[float]:
        reach = [line - steps[0] for line in steps[1:]]
        return [*(low - step for step in reversed(reach)), *own, *(high + step for step in reach)]

    walls = (
        along(x0, x1, front, lines.ends),
        along(x0, x1, back, lines.ends),
        along(y0, y1, left, lines.sides),
        along(y0, y1, right, lines.sides),
    )
    return (x0 - dx, y0 - dy, x1 + dx, y1 + dy), walls


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


def _wall_levels(drum: Drum) -> list[float]:
    """The heights of the layers of the walls, and of the edges of root bars, where there is no gap."""
    box = drum.box
    bar = (box.root_bar_height_mm,) if box.root_bar_mm > 0.0 else ()
    levels = wall_levels(over_mm(drum), box.height_mm, *bar)
    return [*levels, -pressed_mm(drum)] if box.clamped else levels


def _inner_marks(plan: Plan) -> Marks:
    """Where the plan's triangles meet the edge of the free underside, rising along each side of it."""
    x0, y0, x1, y1 = plan.inner
    points, near = plan.points_mm, NEAR_MM
    edges = ((y0, 1), (y1, 1), (x0, 0), (x1, 0))
    front, back, left, right = (
        [float(at) for at in np.unique(points[abs(points[:, axis] - edge) < near, 1 - axis])]
        for edge, axis in edges
    )
    return front, back, left, right


def _quads(plan: Plan, lines: Bands) -> list[Quad]:
    """The band round the inside: sides, ends and corners."""
    x0, y0, x1, y1 = plan.inner
    front, back, left, right = _inner_marks(plan)
    quads = []
    for a, b, middle, outer in _steps(lines.sides):
        for u, v in pairwise(front):
            corners = ((u, y0 - b), (v, y0 - b), (v, y0 - a), (u, y0 - a))
            quads.append(Quad(corners, INSIDE, middle, "front" if outer else None))
        for u, v in pairwise(back):
            corners = ((v, y1 + b), (u, y1 + b), (u, y1 + a), (v, y1 + a))
            quads.append(Quad(corners, INSIDE, middle, "back" if outer else None))
    for a, b, middle, outer in _steps(lines.ends):
        for u, v in pairwise(left):
            corners = ((x0 - b, v), (x0 - b, u), (x0 - a, u), (x0 - a, v))
            quads.append(Quad(corners, middle, INSIDE, "left" if outer else None))
        for u, v in pairwise(right):
            corners = ((x1 + b, u), (x1 + b, v), (x1 + a, v), (x1 + a, u))
            quads.append(Quad(corners, middle, INSIDE, "right" if outer else None))
    return quads + _corners(plan, lines)


def _steps(lines: list[float]) -> list[tuple[float, float, float, bool]]:
    """Each strip between two lines: from and to, outwards of the free underside; its middle; if it is the last."""
    start = lines[0]
    pairs = list(pairwise(lines))
    return [
        (a - start, b - start, 0.5 * (a + b), b > 0.0 and at == len(pairs) - 1)
        for at, (a, b) in enumerate(pairs)
    ]


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
    stacks = Stacks(drum, [], [])
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
