"""A sheet as pixels: sizes, dashes, words as tall as they say."""

import io

import numpy as np
import pytest
from PIL import Image

from kerftone.draw.raster import png_file
from kerftone.draw.sheet import Circle, Layer, Line, Pen, Picture, Region, Sheet, Text


def _grey(*shapes, pen=None):
    layer = Layer(name="all", pen=pen or Pen(stroke="#000000", width_mm=0.5), shapes=shapes)
    sheet = Sheet(width_mm=60.0, height_mm=40.0, title="", description="", layers=(layer,))
    return np.asarray(Image.open(io.BytesIO(png_file(sheet, pixels_per_mm=8.0))).convert("L"))


def test_a_filled_area_has_its_area_and_lies_where_it_should():
    square = Region(outer=((10.0, 10.0), (30.0, 10.0), (30.0, 25.0), (10.0, 25.0)))
    dark = _grey(square, pen=Pen(fill="#000000")) < 128
    assert dark.shape == (320, 480)
    assert dark.sum() / 64.0 == pytest.approx(300.0, rel=0.02)
    rows, columns = np.nonzero(dark)
    assert columns.mean() / 8.0 == pytest.approx(20.0, abs=0.2)
    assert 40.0 - rows.mean() / 8.0 == pytest.approx(17.5, abs=0.2)


def test_holes_stay_open():
    square = ((10.0, 10.0), (30.0, 10.0), (30.0, 25.0), (10.0, 25.0))
    hole = ((15.0, 12.0), (20.0, 12.0), (20.0, 22.0), (15.0, 22.0))
    dark = _grey(Region(outer=square, holes=(hole,)), pen=Pen(fill="#000000")) < 128
    assert dark.sum() / 64.0 == pytest.approx(250.0, rel=0.02)


def test_dashes_leave_as_much_white_as_they_say():
    line = Line(points=((5.0, 20.0), (25.0, 20.0), (45.0, 20.0)))
    full = (_grey(line) < 128).sum()
    dashed = (_grey(line, pen=Pen(stroke="#000000", width_mm=0.5, dash_mm=(3.0, 1.0))) < 128).sum()
    assert dashed / full == pytest.approx(0.75, abs=0.05)


def test_words_are_as_tall_as_they_say_level_and_turned():
    level = np.nonzero(_grey(Text(at=(5.0, 10.0), words="HHH", height_mm=6.0), pen=Pen(fill="#000000")) < 128)
    assert np.ptp(level[0]) / 8.0 == pytest.approx(6.0, abs=0.3)
    assert 40.0 - level[0].max() / 8.0 == pytest.approx(10.0, abs=0.3)
    turned = Text(at=(30.0, 20.0), words="HHH", height_mm=6.0, anchor="middle", angle_deg=90.0)
    rows, columns = np.nonzero(_grey(turned, pen=Pen(fill="#000000")) < 128)
    assert np.ptp(columns) / 8.0 == pytest.approx(6.0, abs=0.3)
    assert columns.max() / 8.0 == pytest.approx(30.0, abs=0.4) and rows.mean() / 8.0 == pytest.approx(
        20.0, abs=0.4
    )


def test_circles_and_pictures_lie_in_their_rectangles():
    stream = io.BytesIO()
    Image.new("RGB", (2, 2), "#000000").save(stream, format="PNG")
    dark = _grey(Picture(bounds=(40.0, 5.0, 50.0, 15.0), png=stream.getvalue())) < 128
    assert dark.sum() / 64.0 == pytest.approx(100.0, rel=0.03)
    ring = _grey(Circle(centre=(20.0, 20.0), radius_mm=10.0), pen=Pen(fill="#000000")) < 128
    assert ring.sum() / 64.0 == pytest.approx(np.pi * 100.0, rel=0.02)
