"""The cover of a drawing that takes several pages: which page goes where, and all its words, whole.

A small picture of what the pages show, with the frame and name of each; how to put them together; what the drawing
says and what its lines mean, in type to be read at arm's length. Not to size, and it says so. In mm of the page.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from kerftone.draw import legend, style
from kerftone.draw.ink import draw_layers
from kerftone.draw.paper import BORDER_MM, STRIP_MM, Tiling, window_mm
from kerftone.draw.sheet import Layer, Pen, Region, Sheet, Text
from kerftone.draw.words import LINE, Words, heading_over, notes_under

WORDS_MM = style.SMALLEST_MM
TITLE_MM = 5.0
LEAST_PICTURE_MM = 30.0
MOST_PICTURE_MM = 90.0
LEAST_WORD_MM = 1.6
"""Words that come out smaller than this in the picture are left out of it."""
FRAME = Pen(stroke=style.RUST, width_mm=0.4)
TAG = Pen(stroke=style.RUST, width_mm=0.3, fill=style.PAPER)


def draw_cover(canvas: Any, sheet: Sheet, tiled: Tiling, size_mm: tuple[float, float]) -> None:
    """Put the cover on an upright page of this size. Held by tests/draw/test_cover.py."""
    wide, tall = window_mm(size_mm)
    left, low = BORDER_MM, BORDER_MM + STRIP_MM
    title = heading_over(sheet.title, left=left, low=0.0, wide=0.9 * wide, height_mm=TITLE_MM)
    under, block = _words(sheet, tiled, wide)
    used = title.high + (under.high - under.low)
    high = max(LEAST_PICTURE_MM, min(MOST_PICTURE_MM, tall - used - 12.0))
    west, south, east, north = tiled.bounds
    scale = min((wide - 2.0) / (east - west), high / (north - south))
    top = low + tall
    head = tuple(replace(text, at=(text.at[0], text.at[1] + top - title.high)) for text in title.texts)
    draw_layers(canvas, (Layer(name="title", pen=style.WORDS, shapes=head),))
    base = top - title.high - 4.0 - scale * (north - south)
    canvas.saveState()
    canvas.translate(left + 1.0 - scale * west, base - scale * south)
    canvas.scale(scale, scale)
    _picture(canvas, sheet, tiled, scale)
    canvas.restoreState()
    canvas.saveState()
    canvas.translate(left, base - 3.0)
    layers = [Layer(name=entry.name, pen=entry.pen, shapes=shapes) for entry, shapes in block.samples]
    layers.append(Layer(name="words", pen=style.WORDS, shapes=(*under.texts, *block.words)))
    draw_layers(canvas, layers)
    canvas.restoreState()


def _picture(canvas: Any, sheet: Sheet, tiled: Tiling, scale: float) -> None:
    """What the pages show, small, with their frames and names; in the drawing's own millimetres."""
    west, south, east, north = tiled.bounds
    canvas.saveState()
    shown = canvas.beginPath()
    shown.rect(west, south, east - west, north - south)
    canvas.clipPath(shown, stroke=0, fill=0)
    for layer in sheet.layers:
        shapes = tuple(
            shape
            for shape in layer.shapes
            if not isinstance(shape, Text) or shape.height_mm * scale >= LEAST_WORD_MM
        )
        draw_layers(canvas, (replace(layer, shapes=shapes),))
    canvas.restoreState()
    if len(tiled.tiles) == 1:
        return
    wide, tall = tiled.window_mm
    for tile in tiled.tiles:
        x0, y0 = max(tile.left_mm, west), max(tile.bottom_mm, south)
        x1, y1 = min(tile.left_mm + wide, east), min(tile.bottom_mm + tall, north)
        frame = Region(outer=((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        height = WORDS_MM / scale
        tag_x, tag_y = x0 + 0.6 * (tile.column % 2) * height, y1 - 2.0 * height
        corners = (
            (tag_x, tag_y),
            (tag_x + 2.6 * height, tag_y),
            (tag_x + 2.6 * height, y1),
            (tag_x, y1),
        )
        name = Text(
            at=(tag_x + 1.3 * height, tag_y + 0.5 * height),
            words=tile.name,
            height_mm=height,
            anchor="middle",
            bold=True,
        )
        draw_layers(
            canvas,
            (
                Layer(name="frame", pen=replace(FRAME, width_mm=FRAME.width_mm / scale), shapes=(frame,)),
                Layer(
                    name="tag",
                    pen=replace(TAG, width_mm=TAG.width_mm / scale),
                    shapes=(Region(outer=corners),),
                ),
                Layer(name="name", pen=Pen(fill=style.RUST), shapes=(name,)),
            ),
        )


def _words(sheet: Sheet, tiled: Tiling, wide: float) -> tuple[Words, legend.Block]:
    """Everything under the picture, downwards from 0."""
    notes = notes_under(
        (_how(tiled), *sheet.notes), left=0.0, top=0.0, wide=0.92 * wide, height_mm=WORDS_MM, gap=0.5
    )
    block, y = legend.Block(), notes.low
    for entry in sheet.marks:
        y -= legend.set_entry(block, entry, at=(0.0, y), width_mm=0.92 * wide, height_mm=WORDS_MM)
    return replace(notes, low=y - LINE * WORDS_MM), block


def _how(tiled: Tiling) -> str:
    if len(tiled.tiles) == 1:
        return "This picture is not to size; the drawing is on the next page."
    return (
        f"This picture is not to size. The next {len(tiled.tiles)} pages, {tiled.tiles[0].name} to "
        f"{tiled.tiles[-1].name}, are. Trim each along its thin frame where it lies on top of another, lay that edge "
        "on the dashed line of its neighbour so that the rings with a cross meet, and tape. Then lay a rule across "
        "the joins: the whole must measure what its figures say."
    )
