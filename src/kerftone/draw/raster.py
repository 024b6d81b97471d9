"""A sheet as a PNG, for a screen: the same shapes and the same type as on paper.

Drawn three times as large as it is given and made smaller, so that lines come out smooth. Pillow draws; mm become
pixels.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from kerftone.draw.fonts import BOLD_FONT, CAPITAL_PER_SIZE, FONT_FILES, WORDS_FONT, printable
from kerftone.draw.sheet import Circle, Layer, Line, Outlined, Pen, Picture, Point, Region, Shade, Sheet, Text
from kerftone.draw.word_places import words_box

FINER = 3
"""How many times larger it is drawn than it is given."""


def png_file(sheet: Sheet, *, pixels_per_mm: float) -> bytes:
    """The sheet as the bytes of a PNG. Held by tests/draw/test_raster.py."""
    from PIL import Image, ImageDraw

    scale = FINER * pixels_per_mm
    size = math.ceil(sheet.width_mm * scale), math.ceil(sheet.height_mm * scale)
    image = Image.new("RGB", size, "#ffffff")
    board = _Board(image, ImageDraw.Draw(image), sheet, scale)
    for layer in sheet.layers:
        board.layer(layer)
    small = image.resize((math.ceil(size[0] / FINER), math.ceil(size[1] / FINER)), Image.Resampling.LANCZOS)
    stream = io.BytesIO()
    small.save(stream, format="PNG", optimize=True)
    return stream.getvalue()


@cache
def _font(name: str, pixels: int) -> Any:
    from PIL import ImageFont

    data = files("kerftone.draw").joinpath("type", FONT_FILES[name]).read_bytes()
    return ImageFont.truetype(io.BytesIO(data), pixels)


class _Board:
    """The image while it is drawn."""

    def __init__(self, image: Any, draw: Any, sheet: Sheet, scale: float) -> None:
        self.image, self.draw, self.scale = image, draw, scale
        self.left, self.top = sheet.left_mm, sheet.bottom_mm + sheet.height_mm

    def at(self, point: Point) -> Point:
        return (point[0] - self.left) * self.scale, (self.top - point[1]) * self.scale

    def layer(self, layer: Layer) -> None:
        """All shapes of a layer."""
        pen = layer.pen
        for shape in layer.shapes:
            match shape:
                case Line(points=points):
                    self.line(points, pen)
                case Region(outer=outer, holes=holes):
                    self.area(outer, pen, holes)
                case Shade(rings=rings):
                    for ring in rings:
                        self.area(ring, pen)
                case Outlined(path=path, holes=holes):
                    self.area(tuple(path.chords()), pen, [hole.chords() for hole in holes])
                case Circle(centre=(x, y), radius_mm=r):
                    box = (*self.at((x - r, y + r)), *self.at((x + r, y - r)))
                    wide = self.wide(pen) if pen.stroke else 1
                    self.draw.ellipse(box, fill=pen.fill, outline=pen.stroke, width=wide)
                case Picture():
                    self.picture(shape)
                case Text():
                    self.words(shape, pen)

    def wide(self, pen: Pen) -> int:
        return max(1, round(pen.width_mm * self.scale))

    def line(self, points: Sequence[Point], pen: Pen) -> None:
        """A line, in dashes where the pen has them."""
        for run in _dashed(points, pen.dash_mm) if pen.dash_mm else (points,):
            self.draw.line(
                [self.at(p) for p in run], fill=pen.stroke or pen.fill, width=self.wide(pen), joint="curve"
            )

    def area(self, ring: Sequence[Point], pen: Pen, holes: Sequence[Sequence[Point]] = ()) -> None:
        """A filled area with its holes left open, its edges over it."""
        from PIL import Image, ImageDraw

        if pen.fill and not holes:
            self.draw.polygon([self.at(p) for p in ring], fill=pen.fill)
        elif pen.fill:
            mask = Image.new("1", self.image.size, 0)
            cut = ImageDraw.Draw(mask)
            cut.polygon([self.at(p) for p in ring], fill=1)
            for hole in holes:
                cut.polygon([self.at(p) for p in hole], fill=0)
            self.image.paste(pen.fill, (0, 0), mask)
        for edge in (ring, *holes) if pen.stroke else ():
            self.line((*edge, edge[0]), pen)

    def picture(self, shape: Picture) -> None:
        """An image, made to fit its rectangle."""
        from PIL import Image

        west, south, east, north = shape.bounds
        x0, y0 = self.at((west, north))
        x1, y1 = self.at((east, south))
        size = max(1, round(x1 - x0)), max(1, round(y1 - y0))
        inner = Image.open(io.BytesIO(shape.png)).convert("RGB").resize(size, Image.Resampling.BOX)
        self.image.paste(inner, (round(x0), round(y0)))

    def words(self, text: Text, pen: Pen) -> None:
        """One line of words; turned ones by quarters."""
        from PIL import Image, ImageDraw

        font = _font(
            BOLD_FONT if text.bold else WORDS_FONT,
            max(1, round(text.height_mm / CAPITAL_PER_SIZE * self.scale)),
        )
        said, x, y = printable(text.words), *self.at(text.at)
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[text.anchor]
        ink = pen.fill or pen.stroke or "#000000"
        halo = (
            {}
            if pen.halo is None
            else {"stroke_width": max(1, round(0.17 * text.height_mm * self.scale)), "stroke_fill": pen.halo}
        )
        if text.plate:
            west, south, east, north = words_box(text)
            air = 0.2 * text.height_mm
            self.draw.rectangle(
                (*self.at((west - air, north + air)), *self.at((east + air, south - air))), fill=text.plate
            )
        if not text.angle_deg:
            self.draw.text((x, y), said, font=font, fill=ink, anchor=anchor, **halo)
            return
        long = round(font.getlength(said)) + 8
        tall = round(2.0 * text.height_mm * self.scale)
        mask = Image.new("L", (long, tall), 0)
        ImageDraw.Draw(mask).text((long // 2, tall * 3 // 4), said, font=font, fill=255, anchor="ms")
        mask = mask.rotate(text.angle_deg, expand=True)
        base = tall // 4 if text.angle_deg > 0.0 else -(tall // 4)
        self.image.paste(
            Image.new("RGB", mask.size, ink),
            (round(x - base - mask.width / 2), round(y - mask.height / 2)),
            mask,
        )


def _dashed(points: Sequence[Point], dashes: Sequence[float]) -> Iterator[list[Point]]:
    """The pieces of a line that a dashed pen draws."""
    drawn, left, number = [points[0]], dashes[0], 0
    for a, b in pairwise(points):
        long, gone = math.dist(a, b), 0.0
        while long - gone > left:
            gone += left
            share = gone / long
            at = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
            if number % 2 == 0:
                yield [*drawn, at]
            number += 1
            drawn, left = [at], dashes[number % len(dashes)]
        left -= long - gone
        drawn.append(b)
    if number % 2 == 0 and len(drawn) > 1:
        yield drawn
