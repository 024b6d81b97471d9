"""The bottom inside the band, or inside the walls' inner faces: triangles, and round a body on a lip its thin gap.

It meets the wood round it point to point: its edge is parted at the marks of that.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPoint, delaunay_triangles
from shapely.geometry.polygon import orient

from kerftone.drum.design import Drum
from kerftone.drum.seat import bottom_gap_mm, drop_mm, rise_mm
from kerftone.modal.cross_section import NEAR_MM
from kerftone.modal.solid import Cells, fill_below

BOTTOM_MESH_MM = 30.0
"""With triangles of 60 mm a mode of the bottom lay 19 cents low, with 20 mm it moves by 1 cent more."""
LIP_MESH_SHARE = 0.2
"""A bottom on a lip bends on its lip: no triangle is larger than this share of its width. By half larger, a mode of
the bottom of P2 (tests/reference/mounts.json) was 8 cents low."""

Corners = list[tuple[float, float]]
Marks = tuple[list[float], list[float], list[float], list[float]]
"""Where the edges of a rectangle are parted, rising: front, back, left, right."""


def raise_floor(
    cells: Cells, drum: Drum, rectangle: tuple[float, float, float, float], marks: Marks, *, face: str
) -> None:
    """The bottom within this rectangle, glued all round it; `face` names its underside.

    One layer of prisms. The edge of a body on a lip is parted at the height where its lip begins.

    Parameters
    ----------
    cells : Cells
        The mesh under construction.
    drum : Drum
        The drum, in mm; it has a bottom.
    rectangle : tuple
        x0, y0, x1, y1, in mm.
    marks : Marks
        Where its edges are parted, in mm.
    face : str
        The name of the surface it ends in below.
    """
    bottom = drum.bottom
    assert bottom is not None
    floor = drop_mm(drum) - drum.box.height_mm
    lip = bottom.fit == "on a lip"
    low = floor - (bottom.lip_thickness_mm if lip else bottom.thickness_mm)
    frame, triangles, inner = _cut(rectangle, marks, bottom_gap_mm(drum))
    for corners in frame:
        cells.raise_column("bottom", _at(corners, low), _at(corners, floor))
        cells.face(face, _at(corners, low))
    x0, y0, x1, y1 = inner
    for corners in triangles:
        edge = [min(x - x0, x1 - x, y - y0, y1 - y) < NEAR_MM for x, y in corners]
        under = _at(corners, low)
        between = [(x, y, floor if lip and at else low) for (x, y), at in zip(corners, edge, strict=True)]
        cells.raise_column("bottom", between, _at(corners, floor + rise_mm(drum)))
        fill_below(cells, "bottom", under, between)
        cells.face(face, under)


def _at(corners: Corners, z: float) -> list[tuple[float, float, float]]:
    return [(x, y, z) for x, y in corners]


def _cut(
    rectangle: tuple[float, float, float, float], marks: Marks, gap: float
) -> tuple[list[Corners], list[Corners], NDArray[Any]]:
    """A frame as wide as the gap, triangles inside it, and the rectangle of those."""
    x0, y0, x1, y1 = rectangle
    front, back, left, right = marks
    edge = [(x, y0) for x in front] + [(x1, y) for y in right[1:]]
    edge += [(x, y1) for x in back[-2::-1]] + [(x0, y) for y in left[-2:0:-1]]
    mx, my = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    shrink = 1.0 - 2.0 * gap / (x1 - x0), 1.0 - 2.0 * gap / (y1 - y0)
    inner = [(mx + shrink[0] * (x - mx), my + shrink[1] * (y - my)) for x, y in edge]
    rounds = (pairwise([*edge, edge[0]]), pairwise([*inner, inner[0]]))
    frame = [[a, b, d, c] for (a, b), (c, d) in zip(*rounds, strict=True)] if gap > 0.0 else []
    width = min(x1 - x0, y1 - y0)
    longest = min(BOTTOM_MESH_MM, LIP_MESH_SHARE * width) if gap > 0.0 else BOTTOM_MESH_MM
    counts = [max(2, round(span / longest)) for span in (x1 - x0, y1 - y0)]
    xs, ys = (np.linspace(a, b, n + 1)[1:-1] for a, b, n in zip((x0, y0), (x1, y1), counts, strict=True))
    points = MultiPoint(inner + [(x, y) for x in xs for y in ys])
    triangles = [piece for piece in delaunay_triangles(points).geoms if piece.area > NEAR_MM]
    inside = np.array([np.min(inner, axis=0), np.max(inner, axis=0)]).ravel()
    return frame, [list(orient(piece).exterior.coords[:-1]) for piece in triangles], inside
