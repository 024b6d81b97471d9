"""A sheet as DXF for a machine that cuts: R2010, in millimetres, a layer each, closed edges with true arcs.

An edge with free curves is a chain of polylines and splines that meet, for a polyline has none.

Only what has a place in the real thing is written: outlines, slots, holes, bores, the box, measures and
words. Colours are the drawing's own. Nothing is scaled; $INSUNITS says millimetres. The file is made with
ezdxf and passes its audit; tests/draw/test_dxf.py reads it back and compares areas.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from kerftone.draw.sheet import Circle, Layer, Line, Outlined, Region, Shade, Shape, Sheet, Text
from kerftone.drum.arcs import ClosedPath, Segment

HAIR = 25
"""Line weight in hundredths of a millimetre."""
SMOOTH = 1e-3
"""Two curves that meet at a smaller angle than this, in radians, are one spline. Own judgement."""


def dxf_file(sheet: Sheet) -> bytes:
    """The sheet as a DXF file. The same sheet gives the same entities."""
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    space = document.modelspace()
    for layer in sheet.layers:
        name = layer_name(layer.name)
        if name not in document.layers:
            colour = layer.pen.stroke or layer.pen.fill or "#000000"
            made = document.layers.add(name, lineweight=HAIR)
            made.rgb = int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
        for shape in layer.shapes:
            _shape(space, shape, {"layer": name}, layer)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


def layer_name(name: str) -> str:
    """A layer's name as every program reads it: STOP_HOLES."""
    return re.sub("[^A-Z0-9]+", "_", name.upper()).strip("_") or "DRAWING"


def _shape(space: Any, shape: Shape, on: dict[str, str], layer: Layer) -> None:
    match shape:
        case Line(points=points):
            space.add_lwpolyline(points, dxfattribs=on)
        case Region(outer=outer, holes=holes):
            for ring in (outer, *holes):
                space.add_lwpolyline(ring, close=True, dxfattribs=on)
        case Shade(rings=rings):
            for ring in rings:
                space.add_lwpolyline(ring, close=True, dxfattribs=on)
        case Circle(centre=centre, radius_mm=radius):
            space.add_circle(centre, radius, dxfattribs=on)
        case Outlined(rings=paths):
            for path in paths:
                _outline(space, path, on)
        case Text():
            _text(space, shape, on)


def _outline(space: Any, path: ClosedPath, on: dict[str, str]) -> None:
    """A closed edge: one polyline, or where it has cubic curves a chain of polylines and splines that meet."""
    if not path.controls:
        rows = [(x, y, bulge) for (x, y), bulge in zip(path.points, path.bulges, strict=True)]
        space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=on)
        return
    segments = path.segments()
    plain = (at for at, one in enumerate(segments) if one.controls is None)
    begins = next(plain, 0)
    turned = segments[begins:] + segments[:begins]
    for cubic, run in groupby(turned, key=lambda one: one.controls is not None):
        pieces = list(run)
        if cubic:
            _spline(space, pieces, on)
        else:
            rows = [(*one.start, one.bulge) for one in pieces]
            space.add_lwpolyline([*rows, (*pieces[-1].end, 0.0)], format="xyb", dxfattribs=on)


def _spline(space: Any, pieces: Sequence[Segment], on: dict[str, str]) -> None:
    """Cubic curves that follow each other, as one spline of degree 3: they are such curves exactly."""
    from ezdxf.math import Bezier4P, Vec3, bezier_to_bspline

    def bezier(one: Segment) -> Bezier4P:
        points = (one.start, *(one.controls or ()), one.end)
        return Bezier4P([Vec3(x, y, 0.0) for x, y in points])

    for smooth in _smooth_runs(pieces):
        space.add_spline(dxfattribs=on).apply_construction_tool(bezier_to_bspline(map(bezier, smooth)))


def _smooth_runs(pieces: Sequence[Segment]) -> list[list[Segment]]:
    """The pieces parted at corners: a spline has none."""
    runs: list[list[Segment]] = []
    for one in pieces:
        if runs and _leaves_smoothly(runs[-1][-1], one):
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs


def _leaves_smoothly(one: Segment, other: Segment) -> bool:
    assert one.controls is not None and other.controls is not None
    (ax, ay), (bx, by), (cx, cy) = one.controls[1], one.end, other.controls[0]
    turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
    return abs(turn) <= SMOOTH * math.dist((ax, ay), (bx, by)) * math.dist((bx, by), (cx, cy))


def _text(space: Any, text: Text, on: dict[str, str]) -> None:
    from ezdxf.enums import TextEntityAlignment

    anchors = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    words = "".join(c if c.isprintable() else "?" for c in text.words).replace("%%", "% %").replace("^", "^ ")
    entity = space.add_text(words, height=text.height_mm, rotation=text.angle_deg, dxfattribs=on)
    entity.set_placement(text.at, align=anchors[text.anchor])
