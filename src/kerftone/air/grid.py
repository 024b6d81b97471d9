"""The top seen from above as a tensor grid, so that every slot is a row of cells, one across.

Slots that bow are laid straight for it (`drum/slot_room.py`): of a slot only its width, its length, its wood and its
place along the board count here. Lines are drawn at the walls' inner faces, along both edges of every slot, at root
lines and tongues' tips; wide strips are parted further. A cell is wood, open, or both where an end curve or a stop
hole crosses it; how much of it is open is exact. Metres, in the drum's frame; the grid covers the outside of the box,
the walls' upper edges too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline
from kerftone.drum.slot_room import straightened

Array = NDArray[np.floating[Any]]
MM = 1e-3
"""Metres in a millimetre."""
ALONG_MM, ACROSS_MM = 20.0, 24.0
"""The longest cell along the tongues and across them. Halved, no note of the reference drums moves by more than is
said in docs/accuracy.md."""
CURVED_MM = 8.0
"""The longest cell along a curved end."""
SAME_MM = 0.05
"""Lines nearer than this are one."""
OPEN = 0.01
"""A cell counts as open from this share of it."""


@dataclass(frozen=True, kw_only=True)
class Grid:
    """The lines (m), and of each cell (x, y): whether it lies over the cavity, how much of it is open (m²), and the
    narrowest width of the opening there (m)."""

    xs: Array
    ys: Array
    inside: NDArray[np.bool_]
    open_m2: Array
    gap_m: Array

    @property
    def cell_m2(self) -> Array:
        """The area of each cell (x, y)."""
        return np.outer(np.diff(self.xs), np.diff(self.ys))

    @property
    def narrow_m(self) -> Array:
        """How narrow the flow through each cell is (x, y): the cell's own width, or the gap's where that is less,
        m."""
        own = np.minimum(*np.broadcast_arrays(np.diff(self.xs)[:, None], np.diff(self.ys)[None, :]))
        return np.asarray(np.minimum(own, self.gap_m))

    @property
    def openings(self) -> NDArray[np.intp]:
        """The flat numbers of the cells with an opening."""
        return np.flatnonzero(self.open_m2 > 0.0)

    @property
    def middles(self) -> tuple[Array, Array]:
        """The middles of the cells along x and along y."""
        return 0.5 * (self.xs[1:] + self.xs[:-1]), 0.5 * (self.ys[1:] + self.ys[:-1])


def top_grid(drum: Drum, *, fineness: float = 1.0) -> Grid:
    """The grid of a drum's top, slots that bow straightened; `fineness` 2 has cells half as long."""
    drum = straightened(drum)
    drawn = outline(drum)
    x0, y0, x1, y1 = drawn.box_outer.bounds
    in_x0, in_y0, in_x1, in_y1 = drawn.wall_inner.bounds
    holes = [
        value for hole in drawn.stop_holes for value in (hole[0] - 0.5 * hole[2], hole[0] + 0.5 * hole[2])
    ]
    across = [
        value for hole in drawn.stop_holes for value in (hole[1] - 0.5 * hole[2], hole[1] + 0.5 * hole[2])
    ]
    tips, curves = _tips(drum, drawn)
    marks_x = [x0, in_x0, in_x1, x1, drawn.layout.root_left_mm, drawn.layout.root_right_mm, *tips, *holes]
    marks_x += [x for line in drawn.slot_lines for x in line[:2]]
    half = 0.5 * drum.slots.kerf_mm
    marks_y = [y0, in_y0, in_y1, y1, *across]
    marks_y += [y + side * half for y in drawn.layout.slot_ys_mm for side in (-1.0, 1.0)]
    xs = _parted(marks_x, ALONG_MM / fineness, curves, CURVED_MM / fineness)
    ys = _parted(marks_y, ACROSS_MM / fineness)
    open_mm2, gap_mm = _openings(drawn.removed, xs, ys)
    mid_x, mid_y = 0.5 * (xs[1:] + xs[:-1]), 0.5 * (ys[1:] + ys[:-1])
    inside = np.outer((mid_x > in_x0) & (mid_x < in_x1), (mid_y > in_y0) & (mid_y < in_y1))
    return Grid(xs=xs * MM, ys=ys * MM, inside=inside, open_m2=open_mm2 * MM**2, gap_m=gap_mm * MM)


def _tips(drum: Drum, drawn: Outline) -> tuple[list[float], list[tuple[float, float]]]:
    """Where the tongues end along x, with the far side of a kerf sawn across a tip, and the spans of curved ends."""
    marks: list[float] = []
    curves: list[tuple[float, float]] = []
    for tongue, shape in zip(drum.tongues, drawn.tongues, strict=True):
        assert tongue.row is not None and tongue.side is not None
        root, edges = drawn.layout.root_mm(tongue.side), drawn.layout.edges_mm(tongue.row)
        end = [(x, y) for x, y in shape.exterior.coords if abs(x - root) > SAME_MM]
        low, high = min(x for x, _ in end), max(x for x, _ in end)
        tip = high if tongue.side == "left" else low
        way = 1.0 if tongue.side == "left" else -1.0
        at_edges = {x for x, y in end if min(abs(y - edge) for edge in edges) < SAME_MM}
        alone = sum(other.row == tongue.row for other in drum.tongues) == 1
        marks += [tip, *sorted(at_edges - {tip}), *([tip + way * drum.slots.kerf_mm] if alone else [])]
        if high - low > SAME_MM:
            curves.append((low, high))
    return marks, curves


def _parted(
    marks: Iterable[float], longest: float, curves: Iterable[tuple[float, float]] = (), fine: float = 0.0
) -> Array:
    """Rising lines through all marks, none further apart than `longest`, or than `fine` where there are curves."""
    rising = sorted(marks)
    kept = [rising[0]]
    for mark in rising[1:]:
        if mark - kept[-1] > SAME_MM:
            kept.append(mark)
    kept[-1] = rising[-1]
    spans = tuple(curves)
    lines = [kept[0]]
    for low, high in pairwise(kept):
        middle = 0.5 * (low + high)
        most = fine if any(a < middle < b for a, b in spans) else longest
        parts = max(1, int(np.ceil((high - low) / most - 1e-6)))
        lines += list(np.linspace(low, high, parts + 1)[1:])
    return np.array(lines)


def _openings(removed: Any, xs: Array, ys: Array) -> tuple[Array, Array]:
    """How much of each cell is sawn out, mm², and how narrow that opening is, mm."""
    low_x, low_y = (edges.ravel() for edges in np.meshgrid(xs[:-1], ys[:-1], indexing="ij"))
    high_x, high_y = (edges.ravel() for edges in np.meshgrid(xs[1:], ys[1:], indexing="ij"))
    cells = shapely.box(low_x, low_y, high_x, high_y)
    shapely.prepare(removed)
    touched = shapely.intersects(removed, cells)
    area = np.zeros(len(cells))
    area[touched] = shapely.area(shapely.intersection(removed, cells[touched]))
    whole = (high_x - low_x) * (high_y - low_y)
    area[area < OPEN * whole] = 0.0
    shape = (len(xs) - 1, len(ys) - 1)
    return area.reshape(shape), _gaps(area.reshape(shape) > 0.5 * whole.reshape(shape), xs, ys)


def _gaps(is_open: NDArray[np.bool_], xs: Array, ys: Array) -> Array:
    """How far it is from wood to wood through each open cell, the shorter way, mm."""
    wide = np.full(is_open.shape, np.inf)
    for axis, lines in enumerate((xs, ys)):
        turned, steps = np.moveaxis(is_open, axis, 0), np.diff(lines)
        run = np.zeros(turned.shape)
        for line, (marks, width) in enumerate(zip(turned.T, run.T, strict=True)):
            del line
            start = 0
            while start < len(marks):
                end = start
                while end < len(marks) and marks[end]:
                    end += 1
                width[start:end] = steps[start:end].sum()
                start = max(end, start + 1)
        wide = np.minimum(wide, np.moveaxis(run, 0, axis))
    narrow = np.where(is_open, wide, 0.0)
    return np.where(narrow > 0.0, narrow, np.inf)
