"""A sheet as DXF for a machine that cuts: R2010, in millimetres, a layer each, closed edges with true arcs.

Only what has a place in the real thing is written: outlines, slots, holes, bores, the box, measures and
words. Colours are the drawing's own. Nothing is scaled; $INSUNITS says millimetres. The file is made with
ezdxf and passes its audit; tests/draw/test_dxf.py reads it back and compares areas.
"""

from __future__ import annotations

import io
import re
from typing import Any

from kerftone.draw.sheet import Circle, Layer, Line, Outlined, Region, Shade, Shape, Sheet, Text

HAIR = 25
"""Line weight in hundredths of a millimetre."""


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
        case Outlined(path=path):
            rows = [(x, y, bulge) for (x, y), bulge in zip(path.points, path.bulges, strict=True)]
            space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=on)
        case Text():
            _text(space, shape, on)


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
