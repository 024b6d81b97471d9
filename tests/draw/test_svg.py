import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.draw.sheet import Circle, Layer, Line, Pen, Region, Shade, Sheet, Text
from kerftone.draw.svg import CAPITAL_PER_SIZE, plain, svg_file, svg_inline

NS = {"s": "http://www.w3.org/2000/svg"}


def _sheet(*shapes, words="Brook", **more):
    layer = Layer(name="All of it", pen=Pen(stroke="#112233", width_mm=0.5, fill="#ddeeff"), shapes=shapes)
    size = {"width_mm": 120.0, "height_mm": 80.0, "left_mm": -10.0, "bottom_mm": -20.0} | more
    return Sheet(title=words, description="A drawing", layers=(layer,), **size)


def test_the_sheet_is_as_large_on_paper_as_it_says_and_its_units_are_millimetres():
    root = ET.fromstring(svg_file(_sheet()).encode())
    assert (root.get("width"), root.get("height")) == ("120mm", "80mm")
    assert root.get("viewBox") == "0 0 120 80"


def test_up_on_the_drawing_is_up_on_the_page():
    root = ET.fromstring(svg_file(_sheet(Circle(centre=(0.0, 0.0), radius_mm=2.0))).encode())
    circle = root.find(".//s:circle", NS)
    # 10 mm from the left of a sheet that starts at -10, 20 mm over its lower edge, which is at 80.
    assert (circle.get("cx"), circle.get("cy"), circle.get("r")) == ("10", "60", "2")


def test_holes_are_left_open_and_lines_are_not_filled():
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    hole = ((2.0, 2.0), (4.0, 2.0), (4.0, 4.0))
    drawn = svg_file(_sheet(Region(outer=square, holes=(hole,)), Line(points=square), Shade(rings=(hole,))))
    root = ET.fromstring(drawn.encode())
    assert root.find("s:g", NS).get("fill-rule") == "evenodd"
    region, line, shade = root.findall(".//s:path", NS)
    assert region.get("d").count("Z") == 2
    assert line.get("fill") == "none" and "Z" not in line.get("d")
    assert shade.get("d").count("M") == 1


def test_words_are_as_tall_as_asked_in_capitals_and_turn_counter_clockwise():
    text = Text(at=(0.0, 0.0), words="D3", height_mm=3.6, anchor="middle", angle_deg=90.0, bold=True)
    found = ET.fromstring(svg_file(_sheet(text)).encode()).find(".//s:text", NS)
    assert float(found.get("font-size")) * CAPITAL_PER_SIZE == pytest.approx(3.6, abs=1e-3)
    assert found.get("transform") == "rotate(-90 10 60)"
    assert found.get("text-anchor") == "middle"


def test_words_cannot_break_out_of_the_drawing():
    nasty = '</text><script>alert("1")</script> & \x00\x0b\ud800'
    drawn = svg_file(_sheet(Text(at=(0.0, 0.0), words=nasty, height_mm=4.0), words=nasty))
    root = ET.fromstring(drawn.encode())
    assert root.find(".//s:script", NS) is None
    assert root.find(".//s:text", NS).text == '</text><script>alert("1")</script> & ���'
    assert "<script" not in drawn


@given(st.text(max_size=40))
def test_any_words_at_all_make_a_drawing_that_parses(words):
    drawn = svg_file(_sheet(Text(at=(0.0, 0.0), words=words, height_mm=4.0), words=words))
    found = ET.fromstring(drawn.encode()).find(".//s:text", NS).text or ""
    assert found.replace("\r", "\n").split() == plain(words).replace("\r", "\n").split()


def test_inside_a_page_the_drawing_has_no_size_and_names_of_its_own():
    one, other = svg_inline(_sheet(), key="one"), svg_inline(_sheet(), key="other")
    assert "mm" not in re.search("<svg[^>]*>", one).group()
    assert "http" not in one
    ids = re.findall('id="([^"]*)"', one + other)
    assert len(ids) == len(set(ids)) > 2
    assert 'role="img" aria-labelledby="one-title one-desc"' in one
