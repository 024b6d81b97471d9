"""A sheet as SVG: millimetres on paper, one group a layer, words that cannot break out.

Width and height are in mm and the drawing's own units are mm too, so it prints at true size at 100 %. y
is turned over here, once. Inside a page the same drawing is written without a size of its own and takes the
page's. Fonts are the reader's own (system-ui); nothing is loaded from anywhere.
"""

from __future__ import annotations

import base64
import math
import re
from collections.abc import Sequence
from html import escape

from kerftone.draw.sheet import (
    Circle,
    Layer,
    Line,
    Outlined,
    Pen,
    Picture,
    Point,
    Region,
    Shade,
    Shape,
    Sheet,
    Text,
    text_width_mm,
)
from kerftone.drum.arcs import ClosedPath

FONT = "system-ui, sans-serif"
# Capitals are about 0.72 of the font size in common system fonts.
CAPITAL_PER_SIZE = 0.72
# What XML 1.0 cannot carry, not even escaped.
_UNWRITABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg_file(sheet: Sheet, *, decimals: int = 3) -> str:
    """The sheet as a whole SVG file, at true size."""
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + _svg(sheet, _Turned(sheet, decimals), inline=False)


def svg_inline(sheet: Sheet, *, key: str, decimals: int = 2) -> str:
    """The sheet as an element to put into a page.

    Parameters
    ----------
    sheet : Sheet
        In mm.
    key : str
        Different from that of every other drawing on the page.
    decimals : int, optional
        How many decimals of a millimetre are written.
    """
    return _svg(sheet, _Turned(sheet, decimals), inline=True, key=key)


def plain(words: str) -> str:
    """These words with whatever no text file can carry replaced by a mark."""
    return _UNWRITABLE.sub("�", words)


class _Turned:
    """Numbers as SVG wants them: y downwards from the top edge, few decimals."""

    def __init__(self, sheet: Sheet, decimals: int) -> None:
        self.left = sheet.left_mm
        self.top = sheet.bottom_mm + sheet.height_mm
        self.decimals = decimals

    def number(self, value: float) -> str:
        """The value without trailing zeros."""
        text = f"{value:.{self.decimals}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        return "0" if text == "-0" else text

    def pair(self, point: Point) -> tuple[str, str]:
        """x and y of a point on the page."""
        return self.number(point[0] - self.left), self.number(self.top - point[1])

    def run(self, points: Sequence[Point]) -> str:
        """Points joined by straight lines, repeats dropped."""
        pairs = [f"{x} {y}" for x, y in map(self.pair, points)]
        kept = [p for i, p in enumerate(pairs) if i == 0 or p != pairs[i - 1]]
        return "M" + "L".join(kept)

    def outlined(self, path: ClosedPath) -> str:
        """A closed edge with its arcs. A counter-clockwise arc turns clockwise where y points down."""
        said = "M" + " ".join(self.pair(path.points[0]))
        for one in path.segments():
            start, end, bulge = one.start, one.end, one.bulge
            x, y = self.pair(end)
            if one.controls is not None:
                said += "C" + " ".join(" ".join(self.pair(p)) for p in (*one.controls, end))
            elif bulge:
                radius = self.number(math.dist(start, end) * (1.0 + bulge * bulge) / (4.0 * abs(bulge)))
                said += f"A{radius} {radius} 0 {int(abs(bulge) > 1.0)} {int(bulge < 0.0)} {x} {y}"
            else:
                said += f"L{x} {y}"
        return said + "Z"


def _svg(sheet: Sheet, turned: _Turned, *, inline: bool, key: str = "sheet") -> str:
    width, height = turned.number(sheet.width_mm), turned.number(sheet.height_mm)
    size = "" if inline else f' xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
    title, desc = _quoted(f"{key}-title"), _quoted(f"{key}-desc")
    head = (
        f'<svg{size} viewBox="0 0 {width} {height}" role="img" aria-labelledby="{key}-title {key}-desc" '
        f'font-family="{FONT}" stroke-linejoin="round" stroke-linecap="round">\n'
        f"<title id={title}>{escape(plain(sheet.title), quote=False)}</title>\n"
        f"<desc id={desc}>{escape(plain(sheet.description), quote=False)}</desc>\n"
    )
    groups = (
        _group(layer, turned, name) for layer, name in zip(sheet.layers, _names(sheet, key), strict=True)
    )
    return head + "".join(groups) + "</svg>\n"


def _names(sheet: Sheet, key: str) -> list[str]:
    """What each layer's group is called in the page: its name, numbered where several share it."""
    names: list[str] = []
    met: dict[str, int] = {}
    for layer in sheet.layers:
        name = f"{key}-{re.sub('[^a-z0-9]+', '-', layer.name.lower())}"
        met[name] = met.get(name, 0) + 1
        names.append(name if met[name] == 1 else f"{name}-{met[name]}")
    return names


def _group(layer: Layer, turned: _Turned, called: str) -> str:
    name = _quoted(called)
    shapes = "\n".join(_shape(shape, layer.pen, turned) for shape in layer.shapes)
    return f"<g id={name}{_style(layer.pen, turned)}>\n{shapes}\n</g>\n" if shapes else ""


def _style(pen: Pen, turned: _Turned) -> str:
    fill = f' fill="{pen.fill or "none"}" fill-rule="evenodd"'
    if pen.stroke is None:
        return fill
    dash = ""
    if pen.dash_mm:
        dash = f' stroke-dasharray="{" ".join(map(turned.number, pen.dash_mm))}" stroke-linecap="butt"'
    return f'{fill} stroke="{pen.stroke}" stroke-width="{turned.number(pen.width_mm)}"{dash}'


def _shape(shape: Shape, pen: Pen, turned: _Turned) -> str:
    match shape:
        case Line(points=points):
            return f'<path fill="none" d="{turned.run(points)}"/>'
        case Region(outer=outer, holes=holes):
            return f'<path d="{"".join(turned.run(ring) + "Z" for ring in (outer, *holes))}"/>'
        case Shade(rings=rings):
            return f'<path d="{"".join(turned.run(ring) + "Z" for ring in rings)}"/>'
        case Circle(centre=centre, radius_mm=radius):
            x, y = turned.pair(centre)
            return f'<circle cx="{x}" cy="{y}" r="{turned.number(radius)}"/>'
        case Outlined():
            return f'<path d="{"".join(map(turned.outlined, shape.rings))}"/>'
        case Picture(bounds=(west, _, _, north)):
            return _image(shape, turned.pair((west, north)), turned)
        case Text():
            return _text(shape, pen, turned)


def _image(shape: Picture, at: tuple[str, str], turned: _Turned) -> str:
    west, south, east, north = shape.bounds
    size = f'width="{turned.number(east - west)}" height="{turned.number(north - south)}"'
    data = base64.b64encode(shape.png).decode("ascii")
    place = f'x="{at[0]}" y="{at[1]}" {size} preserveAspectRatio="none"'
    return f'<image {place} href="data:image/png;base64,{data}"/>'


def _text(text: Text, pen: Pen, turned: _Turned) -> str:
    x, y = turned.pair(text.at)
    turn = f' transform="rotate({turned.number(-text.angle_deg)} {x} {y})"' if text.angle_deg else ""
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    bold = ' font-weight="700"' if text.bold else ""
    # Words carry the pen's ink as fill; a stroke would fatten them, so the halo goes under it.
    ink = pen.fill or pen.stroke or "#000000"
    size = turned.number(text.height_mm / CAPITAL_PER_SIZE)
    edge = ' stroke="none"'
    if pen.halo:
        wide = turned.number(0.35 * text.height_mm)
        edge = f' stroke="{pen.halo}" stroke-width="{wide}" paint-order="stroke"'
    plate = _plate(text, turned, turn) if text.plate else ""
    return (
        f'{plate}<text x="{x}" y="{y}" font-size="{size}" fill="{ink}"{edge}{anchor}{bold}{turn}>'
        f"{escape(plain(text.words), quote=False)}</text>"
    )


def _plate(text: Text, turned: _Turned, turn: str) -> str:
    """The plate under some words, as wide as they may come out in the reader's own type."""
    wide = 0.9 * text_width_mm(text.words, text.height_mm, bold=text.bold)
    air = 0.2 * text.height_mm
    west = text.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide - air
    x, y = turned.pair((west, text.at[1] + text.height_mm + air))
    size = f'width="{turned.number(wide + 2.0 * air)}" height="{turned.number(text.height_mm + 2.0 * air)}"'
    return f'<rect x="{x}" y="{y}" {size} fill="{text.plate}" stroke="none"{turn}/>'


def _quoted(value: str) -> str:
    """As the value of an attribute."""
    return f'"{escape(value)}"'
