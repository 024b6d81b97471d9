"""Marks for taping: on both pages at one place of the drawing, and in grey print unlike the mark for striking."""

import numpy as np
import pypdfium2
import pytest

from kerftone.draw.ink import POINTS_PER_MM, draw_layers
from kerftone.draw.legend import strike_mark
from kerftone.draw.sheet import Layer, Region, Sheet
from kerftone.draw.style import STRIKE
from kerftone.draw.tape import mark_boxes, tape_marks
from kerftone.draw.tiling import tiling

SHEET = Sheet(width_mm=500.0, height_mm=400.0, title="", description="")


def _at(box, tile):
    return round(box[0] + tile.left_mm, 6), round(box[1] + tile.bottom_mm, 6)


def test_each_square_of_a_seam_is_printed_on_both_its_pages_at_one_place_of_the_drawing():
    tiled = tiling(SHEET, "a4")
    places = [_at(box, tile) for tile in tiled.tiles for box in mark_boxes(tiled, tile)]
    seams = tiled.rows * (tiled.columns - 1) + tiled.columns * (tiled.rows - 1)
    assert len(places) == 2 * 2 * seams and len(set(places)) == 2 * seams


def test_every_neighbour_is_named_in_the_strip_that_it_covers():
    tiled = tiling(SHEET, "a4")
    wide, _ = tiled.window_mm
    for tile in tiled.tiles:
        right = tiled.at(tile.row, tile.column + 1)
        below = tiled.at(tile.row + 1, tile.column)
        said = {
            t.words: t for layer in tape_marks(tiled, tile, ()) for t in layer.shapes if hasattr(t, "words")
        }
        assert set(said) == {f"{one.name} begins here" for one in (right, below) if one}
        if right:
            assert said[f"{right.name} begins here"].at[0] > wide - tiled.overlap_mm


def test_a_drawing_on_one_page_has_no_marks():
    tiled = tiling(Sheet(width_mm=100.0, height_mm=80.0, title="", description=""), "a4")
    assert tape_marks(tiled, tiled.tiles[0], ()) == ()


@pytest.mark.outside
def test_in_grey_print_a_square_is_half_black_and_a_strike_mark_is_not():
    import io

    from reportlab.pdfgen.canvas import Canvas

    def black(layers):
        stream = io.BytesIO()
        canvas = Canvas(stream, pagesize=(20 * POINTS_PER_MM, 20 * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        canvas.translate(10.0, 10.0)
        draw_layers(canvas, layers)
        canvas.save()
        page = pypdfium2.PdfDocument(stream.getvalue())[0].render(scale=300 / 72).to_pil().convert("L")
        middle = np.asarray(page)[
            page.height // 2 - 29 : page.height // 2 + 30, page.width // 2 - 29 : page.width // 2 + 30
        ]
        return float((middle < 128).mean())

    tiled = tiling(SHEET, "a4")
    layers = {layer.name: layer for layer in tape_marks(tiled, tiled.tiles[0], ())}
    checks = [s for s in layers["checks"].shapes if isinstance(s, Region)][:2]
    x, y = checks[0].outer[0]
    moved = [Region(outer=tuple((a - x, b - y) for a, b in one.outer)) for one in checks]
    assert black([Layer(name="c", pen=layers["checks"].pen, shapes=tuple(moved))]) == pytest.approx(
        0.5, abs=0.03
    )
    assert black([Layer(name="s", pen=STRIKE, shapes=strike_mark((0.0, 0.0), 2.2))]) < 0.42
