"""The drum as solids in a STEP file, for a program that designs or cuts in three dimensions.

`top_step` is the sawn top with its slots, stop holes and bores; `box_step` the four walls with the joints that the
shop worked out, the keys, and root bars and bottom where there are any, each a solid of its own. The frame is the
drum's: x along the length, y across from the front edge, z up from the top's underside; mm. Arcs are true
arcs, free curves splines, bores true cylinders.

This stands in `modal` because the geometry kernel comes with the finite-element library, which only this room
knows; nothing is meshed or solved here.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from shapely.geometry import MultiPolygon, Polygon

from kerftone.drum.arcs import Segment, middle_of_arc
from kerftone.drum.bends import with_bends
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.outline import outline
from kerftone.drum.seat import drop_mm, seat_mm
from kerftone.modal.box_solids import box_solids

FINE_MM = 0.005
"""How far the outline's chords stray from the curves that take their place here."""


def top_step(drum: Drum) -> bytes:
    """The sawn and bored top as a STEP file, in mm.

    Raises NeedsFitError for a tongue without a length or place; call `check_outline` first to hear of anything
    that cannot be sawn. Held by tests/modal/test_step_file.py (volume within 0.1 % of area times thickness).
    """
    solid = _top(drum)
    solid.name = "top"
    return _file([solid], "top")


def box_step(box: Box) -> bytes:
    """The walls with their joints, root bars, bottom and keys as a STEP file, in mm, where they stand under the top.

    Held by tests/modal/test_step_file.py: read back, its volume is the sum of its parts.
    """
    return _file(list(box_solids(box).values()), "box")


def _top(drum: Drum) -> Any:
    import netgen.occ as occ

    drawn = outline(drum, tolerance_mm=FINE_MM)
    shape = drawn.top
    parts = shape.geoms if isinstance(shape, MultiPolygon) else (shape,)
    solid = None
    for part in parts:
        raised = _raised(part, drawn.bends, drum.top.thickness_mm)
        solid = raised if solid is None else solid + raised
    assert solid is not None
    drop, inside = drop_mm(drum), seat_mm(drum)
    if drop:
        # What the rabbet round a top on a lip takes: all but a block a little longer than it is deep.
        long, wide = drum.top.length_mm, drum.top.width_mm
        around = occ.Box(occ.Pnt(-1.0, -1.0, -1.0), occ.Pnt(long + 1.0, wide + 1.0, drop))
        body = occ.Box(occ.Pnt(inside, inside, -2.0), occ.Pnt(long - inside, wide - inside, drop + 1.0))
        solid = solid - (around - body)
    for bore in drum.bores:
        # Started a little below the underside, so that no skin is left on it.
        start = occ.Pnt(bore.x_mm, bore.y_mm, -1.0)
        solid = solid - occ.Cylinder(start, occ.Z, r=0.5 * bore.diameter_mm, h=bore.depth_mm + 1.0)
    disc = drum.making.pickup
    flat = disc is None or disc.on != "top" or not disc.recess_mm
    if disc is not None and not flat and disc.x_mm is not None and disc.y_mm is not None:
        start = occ.Pnt(disc.x_mm, disc.y_mm, -1.0)
        solid = solid - occ.Cylinder(start, occ.Z, r=0.5 * disc.disc_mm, h=disc.recess_mm + 1.0)
    return solid


def _raised(part: Polygon, bends: Sequence[Segment], thickness_mm: float) -> Any:
    """A polygon of the plan raised from z = 0."""
    import netgen.occ as occ

    face = occ.Face(_wire(part.exterior.coords, bends))
    for ring in part.interiors:
        face = face - occ.Face(_wire(ring.coords, bends))
    return face.Extrude(thickness_mm * occ.Z)


def _wire(ring: Any, bends: Sequence[Segment]) -> Any:
    """A closed edge of straight pieces, arcs and cubic curves, at z = 0."""
    import netgen.occ as occ

    edges = []
    for one in with_bends(ring, bends, sagitta_mm=FINE_MM).segments():
        a, b = occ.Pnt(*one.start, 0.0), occ.Pnt(*one.end, 0.0)
        if one.controls is not None:
            between = [occ.Pnt(*point, 0.0) for point in one.controls]
            edges.append(occ.BezierCurve([a, *between, b]))
        elif one.bulge:
            edges.append(occ.ArcOfCircle(a, occ.Pnt(*middle_of_arc(one.start, one.end, one.bulge), 0.0), b))
        else:
            edges.append(occ.Segment(a, b))
    return occ.Wire(edges)


def _file(solids: list[Any], name: str) -> bytes:
    """These solids as a STEP file, without time or count, so that the same drum gives the same bytes."""
    import netgen.occ as occ

    shape = occ.Compound(solids) if len(solids) > 1 else solids[0]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drum.step"
        shape.WriteStep(str(path))
        text = path.read_text("utf-8", "replace")
    text = re.sub(r"(FILE_NAME\('[^']*',)'[^']*'", r"\1'1970-01-01T00:00:00'", text, count=1)
    text = re.sub(r"Open CASCADE STEP translator [\d.]+ \d+", name, text)
    return text.replace("'Author'", "''", 1).encode("utf-8")
