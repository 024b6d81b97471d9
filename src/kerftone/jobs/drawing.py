"""A maker's drawing as lines in millimetres of the board: SVG by svgelements, DXF by ezdxf.

Where the board lies in it: a rectangle of the board's size, drawn anywhere, says so. Without one it is the lower left
corner of an SVG's page, and the zero point of a DXF. Only lines on a layer called "ends" are taken where there is
such a layer. Lines that meet end to end are one line.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.drum.arcs import Curve, Point, Segment, arc_through
from kerftone.drum.drawn_ends import DrawnPath
from kerftone.errors import KerftoneError
from kerftone.units import MM_PER_INCH, Units

LAYER, LAYERS = "ends", ("ends", "board", "outline")
"""The layer that is read alone where there is one; with it those that may say where the board lies."""
MEET_MM = 0.05
"""Lines whose ends are nearer than this meet: what drawing programs leave open. Own judgement."""
BOARD_MM = 0.5
"""A rectangle that differs from the board's size by no more than this is the board. Own judgement."""
PIXELS_PER_INCH = 96.0
"""What SVG (version 1.1, "Units", with CSS 2.1) counts to an inch; svgelements is told to use it."""
LARGEST_BYTES = 20_000_000
"""A drawing of a drum is a thousandth of this; more is some other file. Own judgement."""
DXF_UNITS = {1: MM_PER_INCH, 2: 12.0 * MM_PER_INCH, 4: 1.0, 5: 10.0, 6: 1000.0}
"""Millimetres of $INSUNITS: inches, feet, millimetres, centimetres, metres (the DXF reference, header variables)."""
MOST_ARC = 1.75 * math.pi
"""An arc that turns further is read in halves: one that closes has no chord. Own judgement."""
ROUND = 1e-3
"""Half-axes that differ by a smaller share are those of a circle. Own judgement."""


class DrawingError(KerftoneError):
    """A drawing that cannot be read as one."""


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """The lines of a drawing in mm, y up, from where the board's left front corner is without a rectangle."""

    paths: tuple[DrawnPath, ...]

    def on_board(self, length_mm: float, width_mm: float) -> tuple[DrawnPath, ...]:
        """The lines in the board's frame; the rectangle that is the board is left out.

        Parameters
        ----------
        length_mm : float
            Of the board.
        width_mm : float
            Of the board.
        """
        boards = [(path, _corner(path, length_mm, width_mm)) for path in self.paths]
        corners = [corner for _, corner in boards if corner is not None]
        x, y = corners[0] if corners else (0.0, 0.0)

        def at(point: Point) -> Point:
            return point[0] - x, point[1] - y

        return tuple(
            DrawnPath(curve=tuple(one.moved(at) for one in path.curve), closed=path.closed)
            for path, corner in boards
            if corner is None
        )


def read_drawing(path: Path, units: Units | None) -> Drawing:
    """The lines of this SVG or DXF file.

    Raises DrawingError when it cannot be read, or names no unit and none is given.

    Parameters
    ----------
    path : Path
        Its name ends in .svg or .dxf.
    units : Units | None
        What one step of a drawing is that names no unit.
    """
    kind = path.suffix.lower()
    if kind not in (".svg", ".dxf"):
        raise DrawingError(
            f"{path} is no drawing that can be read. Ends are read from SVG and DXF: save it as one of these, the "
            "name ending in .svg or .dxf.",
            given=path.suffix,
        )
    try:
        size = path.stat().st_size
    except OSError as error:
        raise DrawingError(
            f"{path} cannot be read: {error.strerror}. Check its name and its permissions."
        ) from error
    if size > LARGEST_BYTES:
        raise DrawingError(
            f"{path} has {size // 1_000_000} MB. A drawing of tongue ends has less than one, and no more than "
            f"{LARGEST_BYTES // 1_000_000} MB are read: save the ends alone.",
            given=size,
            limit=LARGEST_BYTES,
        )
    raw = _svg(path, units) if kind == ".svg" else _dxf(path, units)
    chosen = [(layer, curve) for layer, curve in raw if curve]
    if any(layer == LAYER for layer, _ in chosen):
        chosen = [(layer, curve) for layer, curve in chosen if layer in LAYERS]
    return Drawing(paths=tuple(_joined(curve for _, curve in chosen)))


def _corner(path: DrawnPath, length_mm: float, width_mm: float) -> Point | None:
    """The lower left corner of a rectangle of this size; None for any other line."""
    if not path.closed or not all(one.is_straight for one in path.curve):
        return None
    xs, ys = zip(*(one.start for one in path.curve), strict=True)
    sizes = max(xs) - min(xs) - length_mm, max(ys) - min(ys) - width_mm
    at_edges = all(
        min(x - min(xs), max(xs) - x) < MEET_MM and min(y - min(ys), max(ys) - y) < MEET_MM
        for x, y in zip(xs, ys, strict=True)
    )
    return (min(xs), min(ys)) if at_edges and max(map(abs, sizes)) <= BOARD_MM else None


def _joined(curves: Iterable[Curve]) -> Iterator[DrawnPath]:
    """Lines that meet end to end made one; a line that comes back to its start is closed."""
    rest = list(curves)
    while rest:
        line: Curve | None = rest.pop(0)
        while line is not None:
            whole, line = line, None
            if not _meet(whole[-1].end, whole[0].start):
                line = _longer(whole, rest)
        yield DrawnPath(curve=whole, closed=len(whole) > 1 and _meet(whole[-1].end, whole[0].start))


def _longer(line: Curve, rest: list[Curve]) -> Curve | None:
    """The line with one of the others at an end of it, which is taken from them; None where none meets it."""
    for at, other in enumerate(rest):
        for turned in (other, tuple(one.backwards() for one in reversed(other))):
            if _meet(line[-1].end, turned[0].start):
                del rest[at]
                return (*line, *turned)
            if _meet(turned[-1].end, line[0].start):
                del rest[at]
                return (*turned, *line)
    return None


def _meet(one: Point, other: Point) -> bool:
    return math.dist(one, other) <= MEET_MM


def _unitless(path: Path, units: Units | None) -> float:
    """Millimetres of one step in a drawing that names no unit."""
    if units is None:
        raise DrawingError(
            f"{path.name} does not say in which unit it is drawn. A tongue's end must come out at true size: say "
            "whether one step of it is a millimetre or an inch, or save it with its size in mm or in."
        )
    return MM_PER_INCH if units == "in" else 1.0


def _svg(path: Path, units: Units | None) -> Iterator[tuple[str, Curve]]:
    """Each line of an SVG with the name of its layer."""
    import xml.etree.ElementTree as ET

    import svgelements as svg

    try:
        root = ET.parse(path).getroot()
        size = [root.get(name) or "" for name in ("width", "height")]
        named = any(one.strip().lower().endswith(("mm", "cm", "in", "pt", "pc", "px")) for one in size)
        drawing = svg.SVG.parse(str(path), ppi=PIXELS_PER_INCH, reify=True)
    except (OSError, ValueError, SyntaxError, KeyError, ZeroDivisionError) as error:
        raise DrawingError(
            f"{path} cannot be read as SVG: {error}. Open it in a drawing program and save it again as plain SVG."
        ) from error
    if named:
        scale, high = MM_PER_INCH / PIXELS_PER_INCH, float(drawing.height)
    else:
        # Without a size of its own a page is as large as its viewBox, a step of it one unit.
        box = drawing.viewbox
        high = float(box.height if box is not None and box.height else drawing.height)
        scale = _unitless(path, units) * (high / float(drawing.height) if drawing.height else 1.0)
        high = float(drawing.height)

    def at(point: Any) -> Point:
        return scale * float(point.x), scale * (high - float(point.y))

    for layer, shape in _shapes(drawing, "", svg):
        whole = svg.Path(shape)
        whole.reify()
        for part in whole.as_subpaths():
            yield layer, tuple(_svg_pieces(svg.Path(part), at, svg))


def _shapes(group: Any, layer: str, svg: Any) -> Iterator[tuple[str, Any]]:
    """The shapes in a group and the groups in it, with the outermost layer's name."""
    for one in group:
        if isinstance(one, svg.Group):
            values = one.values or {}
            keys = ("{http://www.inkscape.org/namespaces/inkscape}label", "inkscape:label", "id")
            names = [str(values.get(key) or "").strip().lower() for key in keys]
            known = next((name for name in names if name in LAYERS), "")
            yield from _shapes(one, layer or known, svg)
        elif isinstance(one, svg.Shape):
            yield layer, one


def _svg_pieces(part: Any, at: Callable[[Any], Point], svg: Any) -> Iterator[Segment]:
    for one in part:
        if isinstance(one, svg.Move) or one.start is None or one.end is None:
            continue
        start, end = at(one.start), at(one.end)
        if isinstance(one, svg.CubicBezier):
            yield Segment(start=start, end=end, controls=(at(one.control1), at(one.control2)))
        elif isinstance(one, svg.QuadraticBezier):
            yield _quadratic(start, at(one.control), end)
        elif isinstance(one, svg.Arc):
            yield from _svg_arc(one, at)
        elif math.dist(start, end) > 0.0:
            yield Segment(start=start, end=end)


def _quadratic(start: Point, control: Point, end: Point) -> Segment:
    """A quadratic curve as the cubic one that it is."""
    first, second = (
        (p[0] + 2.0 * (control[0] - p[0]) / 3.0, p[1] + 2.0 * (control[1] - p[1]) / 3.0) for p in (start, end)
    )
    return Segment(start=start, end=end, controls=(first, second))


def _svg_arc(arc: Any, at: Callable[[Any], Point]) -> Iterator[Segment]:
    """An arc of a circle as such, a whole circle in halves; one of an ellipse as cubic curves."""
    if abs(arc.rx - arc.ry) <= ROUND * max(arc.rx, arc.ry):
        parts = 1 if abs(arc.sweep) <= MOST_ARC else 2
        places = [at(arc.point(0.5 * step / parts)) for step in range(2 * parts + 1)]
        places[0], places[-1] = at(arc.start), at(arc.end)
        for first in range(0, 2 * parts, 2):
            yield arc_through(*places[first : first + 3])
        return
    for one in arc.as_cubic_curves():
        yield Segment(start=at(one.start), end=at(one.end), controls=(at(one.control1), at(one.control2)))


def _dxf(path: Path, units: Units | None) -> Iterator[tuple[str, Curve]]:
    """Each line of a DXF with the name of its layer, in small letters."""
    from ezdxf import recover
    from ezdxf.lldxf.const import DXFError

    try:
        document, _ = recover.readfile(str(path))
    except (OSError, DXFError) as error:
        raise DrawingError(
            f"{path} cannot be read as DXF: {error}. Open it in a drawing program and save it again."
        ) from error
    named = DXF_UNITS.get(int(document.header.get("$INSUNITS", 0)))
    scale = named if named is not None else _unitless(path, units)
    for entity in document.modelspace():
        curve = tuple(_dxf_pieces(entity, scale))
        if curve:
            yield str(entity.dxf.layer).strip().lower(), curve


def _dxf_pieces(entity: Any, scale: float) -> Iterator[Segment]:
    kind = entity.dxftype()
    if kind == "LWPOLYLINE":
        rows = [(scale * x, scale * y, bulge) for x, y, bulge in entity.get_points("xyb")]
        after = [*rows[1:], rows[0]] if entity.closed else rows[1:]
        for (x, y, bulge), (u, v, _) in zip(rows, after, strict=False):
            if math.dist((x, y), (u, v)) > 0.0:
                yield Segment(start=(x, y), end=(u, v), bulge=bulge)
    elif kind in ("ARC", "CIRCLE"):
        yield from _dxf_arc(entity, scale)
    elif kind in ("LINE", "POLYLINE", "SPLINE", "ELLIPSE"):
        yield from _dxf_path(entity, scale)


def _dxf_arc(entity: Any, scale: float) -> Iterator[Segment]:
    """An arc, counter-clockwise; a whole circle in halves."""
    x, y, radius = scale * entity.dxf.center.x, scale * entity.dxf.center.y, scale * entity.dxf.radius
    whole = entity.dxftype() == "CIRCLE"
    low, high = (0.0, 360.0) if whole else (entity.dxf.start_angle, entity.dxf.end_angle)
    turn = math.radians((high - low) % 360.0 or 360.0)

    def at(share: float) -> Point:
        angle = math.radians(low) + share * turn
        return x + radius * math.cos(angle), y + radius * math.sin(angle)

    parts = 1 if turn <= MOST_ARC else 2
    for part in range(parts):
        yield Segment(start=at(part / parts), end=at((part + 1) / parts), bulge=math.tan(0.25 * turn / parts))


def _dxf_path(entity: Any, scale: float) -> Iterator[Segment]:
    """A line, a spline, an ellipse or an old polyline, as ezdxf makes a path of it."""
    from ezdxf.path import Curve3To, Curve4To, make_path

    path = make_path(entity)
    here = path.start
    for one in path.commands():
        start, end = ((scale * p.x, scale * p.y) for p in (here, one.end))
        if isinstance(one, Curve4To):
            first, second = ((scale * p.x, scale * p.y) for p in (one.ctrl1, one.ctrl2))
            yield Segment(start=start, end=end, controls=(first, second))
        elif isinstance(one, Curve3To):
            yield _quadratic(start, (scale * one.ctrl.x, scale * one.ctrl.y), end)
        elif math.dist(start, end) > 0.0:
            yield Segment(start=start, end=end)
        here = one.end
