"""The shapes of a sheet put onto a PDF page, at true size.

Turns millimetres of the drawing into the points of the page (72 to an inch), once; the caller says where.
Words are set in the face of `fonts.py`, which goes into the file.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from kerftone.draw.fonts import BOLD_FONT, CAPITAL_PER_SIZE, WORDS_FONT, printable
from kerftone.draw.sheet import Circle, Layer, Line, Outlined, Pen, Picture, Point, Region, Shade, Shape, Text
from kerftone.drum.arcs import ClosedPath
from kerftone.units import MM_PER_INCH

POINTS_PER_MM = 72.0 / MM_PER_INCH
"""A point is the 72nd of an inch, by definition."""


def draw_layers(canvas: Any, layers: Sequence[Layer]) -> None:
    """Put these layers on the canvas, whose units are already the drawing's millimetres."""
    for layer in layers:
        canvas.saveState()
        _take(canvas, layer.pen)
        for shape in layer.shapes:
            _shape(canvas, shape, layer.pen)
        canvas.restoreState()


def write(canvas: Any, text: Text, ink: str) -> None:
    """One line of words in this ink, in the drawing's millimetres.

    Parameters
    ----------
    canvas : Any
        The page's.
    text : Text
        The words, where they stand and how tall they are, in mm.
    ink : str
        A colour as #rrggbb.
    """
    _words(canvas, text, Pen(fill=ink))


def _take(canvas: Any, pen: Pen) -> None:
    canvas.setLineCap(0 if pen.dash_mm else 1)
    canvas.setLineJoin(1)
    canvas.setLineWidth(pen.width_mm)
    canvas.setDash(list(pen.dash_mm))
    if pen.stroke:
        canvas.setStrokeColor(pen.stroke)
    if pen.fill:
        canvas.setFillColor(pen.fill)


def _shape(canvas: Any, shape: Shape, pen: Pen) -> None:
    stroke, fill = int(pen.stroke is not None), int(pen.fill is not None)
    match shape:
        case Line(points=points):
            path = canvas.beginPath()
            _run(path, points)
            canvas.drawPath(path, stroke=1, fill=0)
        case Region(outer=outer, holes=holes):
            _rings(canvas, (outer, *holes), stroke, fill)
        case Shade(rings=rings):
            _rings(canvas, rings, stroke, fill)
        case Circle(centre=centre, radius_mm=radius):
            canvas.circle(*centre, radius, stroke=stroke, fill=fill)
        case Outlined(rings=closed):
            path = canvas.beginPath()
            for ring in closed:
                _outline(path, ring)
            canvas.drawPath(path, stroke=stroke, fill=fill, fillMode=0)
        case Picture(bounds=(west, south, east, north), png=png):
            from reportlab.lib.utils import ImageReader

            canvas.drawImage(ImageReader(io.BytesIO(png)), west, south, east - west, north - south)
        case Text():
            _words(canvas, shape, pen)


def _run(path: Any, points: Sequence[Point]) -> None:
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)


def _rings(canvas: Any, rings: Sequence[Sequence[Point]], stroke: int, fill: int) -> None:
    path = canvas.beginPath()
    for ring in rings:
        _run(path, ring)
        path.close()
    canvas.drawPath(path, stroke=stroke, fill=fill, fillMode=0)  # 0: the odd-even rule


def _outline(path: Any, closed: ClosedPath) -> None:
    path.moveTo(*closed.points[0])
    for one in closed.segments():
        if one.controls is not None:
            path.curveTo(*one.controls[0], *one.controls[1], *one.end)
        elif one.bulge:
            _arc(path, one.start, one.end, one.bulge)
        else:
            path.lineTo(*one.end)
    path.close()


def _arc(path: Any, start: Point, end: Point, bulge: float) -> None:
    """An arc as cubic curves of at most a quarter circle: within 3e-4 of its radius."""
    sweep = 4.0 * math.atan(bulge)
    chord = math.dist(start, end)
    off = chord * (1.0 - bulge * bulge) / (4.0 * bulge)
    x = 0.5 * (start[0] + end[0]) - off * (end[1] - start[1]) / chord
    y = 0.5 * (start[1] + end[1]) + off * (end[0] - start[0]) / chord
    parts = max(1, math.ceil(abs(sweep) / (0.5 * math.pi) - 1e-9))
    step = sweep / parts
    reach = 4.0 / 3.0 * math.tan(0.25 * step)
    dx, dy = start[0] - x, start[1] - y
    for _ in range(parts):
        ex = dx * math.cos(step) - dy * math.sin(step)
        ey = dx * math.sin(step) + dy * math.cos(step)
        path.curveTo(
            x + dx - reach * dy, y + dy + reach * dx, x + ex + reach * ey, y + ey - reach * ex, x + ex, y + ey
        )
        dx, dy = ex, ey


def _words(canvas: Any, text: Text, pen: Pen) -> None:
    font = BOLD_FONT if text.bold else WORDS_FONT
    size = text.height_mm / CAPITAL_PER_SIZE
    words = printable(text.words)
    wide = canvas.stringWidth(words, font, size)
    shift = {"start": 0.0, "middle": -0.5 * wide, "end": -wide}[text.anchor]
    canvas.saveState()
    canvas.translate(*text.at)
    canvas.rotate(text.angle_deg)
    canvas.setDash([])
    if text.plate:
        air = 0.2 * text.height_mm
        canvas.setFillColor(text.plate)
        canvas.rect(shift - air, -air, wide + 2.0 * air, text.height_mm + 2.0 * air, stroke=0, fill=1)
    elif pen.halo:
        canvas.setStrokeColor(pen.halo)
        canvas.setLineWidth(0.35 * text.height_mm)
        _line_of_words(canvas, words, (shift, font, size, 1))
    canvas.setFillColor(pen.fill or pen.stroke or "#000000")
    _line_of_words(canvas, words, (shift, font, size, 0))
    canvas.restoreState()


def _line_of_words(canvas: Any, words: str, how: tuple[float, str, float, int]) -> None:
    shift, font, size, mode = how
    canvas.saveState()  # the way of rendering would outlast the line
    line = canvas.beginText(shift, 0.0)
    line.setFont(font, size)
    line.setTextRenderMode(mode)
    line.textOut(words)
    canvas.drawText(line)
    canvas.restoreState()
