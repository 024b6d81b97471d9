import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Point, Polygon, box
from svgelements import Arc, CubicBezier
from svgelements import Path as SvgPath

from kerftone.draw.layout import layout_sheet, regions
from kerftone.draw.sheet import Circle, Line, Region, Text, text_width_mm
from kerftone.draw.svg import CAPITAL_PER_SIZE, svg_file
from kerftone.drum.knots import Knot
from kerftone.drum.outline import outline

NS = {"s": "http://www.w3.org/2000/svg"}


@pytest.fixture(scope="module")
def sheet(brook, brook_outline):
    return layout_sheet(brook, brook_outline)


@pytest.fixture(scope="module")
def root(sheet):
    return ET.fromstring(svg_file(sheet).encode())


def _group(root, name):
    found = root.find(f".//s:g[@id='sheet-{name}']", NS)
    assert found is not None, name
    return found


def _polygons(path):
    """The closed runs of one path as svgelements reads them, curves in fine chords."""
    rings = []
    for run in SvgPath(path.get("d")).as_subpaths():
        first, *rest = SvgPath(run).segments()
        ring = [first.end]
        for piece in rest:
            curved = isinstance(piece, Arc | CubicBezier)
            ring += [piece.point(step / 2000) for step in range(1, 2001)] if curved else [piece.end]
        rings.append(np.array([(p.x, p.y) for p in ring]))
    return rings


def _area(ring):
    x, y = ring.T
    return 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def test_the_page_is_in_millimetres_and_large_enough_for_the_board(root, brook):
    width, height = root.get("width"), root.get("height")
    assert width.endswith("mm") and height.endswith("mm")
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
    assert float(width[:-2]) > brook.top.length_mm
    assert float(height[:-2]) > brook.top.width_mm


def test_the_tongues_in_the_file_are_the_tongues_of_the_outline(root, brook):
    paths = _group(root, "tongues").findall("s:path", NS)
    assert len(paths) == 4
    for path, tongue in zip(paths, outline(brook, tolerance_mm=1e-5).tongues, strict=True):
        (ring,) = _polygons(path)
        assert _area(ring) == pytest.approx(tongue.area, rel=1e-5)


def test_round_ends_are_arcs_in_the_file(root, brook):
    """Tongues 1 to 4 have half circles for their ends: A commands of half the tongue's width."""
    fine = outline(brook, tolerance_mm=1e-5).tongues
    for path, tongue in zip(_group(root, "tongues").findall("s:path", NS), fine, strict=True):
        (arc,) = [piece for piece in SvgPath(path.get("d")).segments() if isinstance(piece, Arc)]
        assert (arc.rx, arc.ry) == pytest.approx((21.5, 21.5), abs=0.001)
        assert _area(_polygons(path)[0]) == pytest.approx(tongue.area, rel=1e-6)


def test_the_wood_in_the_file_is_the_wood_that_stays(root, brook):
    rings = [r for path in _group(root, "top").findall("s:path", NS) for r in _polygons(path)]
    outer, *holes = sorted((_area(r) for r in rings), reverse=True)
    assert outer - sum(holes) == pytest.approx(outline(brook, tolerance_mm=1e-5).top.area, rel=1e-5)


def test_a_longer_tongue_is_a_longer_tongue_on_paper(brook):
    longer = brook.with_lengths((160.0, 170.0, 131.3, 165.0))
    before, after = (
        _polygons(_group(ET.fromstring(svg_file(layout_sheet(d, outline(d))).encode()), "tongues")[0])[0]
        for d in (brook, longer)
    )
    assert np.ptp(after[:, 0]) - np.ptp(before[:, 0]) == pytest.approx(10.0, abs=1e-3)


def test_the_check_bar_is_a_hundred_millimetres_in_the_file(root):
    steps = [
        ring
        for name in ("check-bar-black", "check-bar-white")
        for path in _group(root, name).findall("s:path", NS)
        for ring in _polygons(path)
    ]
    xs = np.concatenate([ring[:, 0] for ring in steps])
    assert np.ptp(xs) == pytest.approx(100.0, abs=1e-6)


def test_all_words_are_at_least_three_point_two_millimetres_tall(root):
    sizes = [float(text.get("font-size")) for text in root.findall(".//s:text", NS)]
    assert len(sizes) > 20
    assert min(sizes) * CAPITAL_PER_SIZE >= 3.2 - 1e-3


def test_every_tongue_carries_its_place_note_and_length(root):
    words = {text.text for text in _group(root, "tongue-words").findall("s:text", NS)}
    assert {
        "L1",
        "R1",
        "L2",
        "R3",
        "D3",
        "F#3",
        "G3",
        "A3",
        "150 mm",
        "170 mm",
        "131.5 mm",  # 131.25, to the half millimetre that a rule has
        "165 mm",
    } <= words


def test_the_words_of_a_tongue_stand_on_that_tongue(sheet, brook, brook_outline):
    for text in sheet.layer("tongue words").shapes:
        assert isinstance(text, Text)
        wide = text_width_mm(text.words, text.height_mm, bold=text.bold)
        start = text.at[0] - {"start": 0.0, "middle": 0.5 * wide, "end": wide}[text.anchor]
        room = box(start, text.at[1], start + wide, text.at[1] + text.height_mm)
        assert any(tongue.contains(room) for tongue in brook_outline.tongues), text.words


def test_strike_marks_and_bores_are_where_the_drum_has_them(sheet, brook, brook_outline):
    struck = [s.centre for s in sheet.layer("strike points").shapes if isinstance(s, Circle)]
    assert struck == list(brook_outline.strike_points)
    (bore,) = sheet.layer("bores").shapes
    assert isinstance(bore, Circle)
    assert (bore.centre, bore.radius_mm) == ((330.0, 49.0), 10.0)
    (depth,) = sheet.layer("bore depths").shapes
    assert isinstance(depth, Text) and depth.words == "4"
    assert Point(bore.centre).buffer(10.0).contains(Point(depth.at))


def test_what_lies_underneath_is_dashed_and_what_is_sawn_is_not(sheet):
    assert sheet.layer("box inside").pen.dash_mm
    assert sheet.layer("bores").pen.dash_mm
    assert not sheet.layer("saw cuts").pen.dash_mm


def test_root_lines_stand_only_where_tongues_do(sheet, brook_outline):
    slots = brook_outline.layout.slot_ys_mm
    spans = {line.points for line in sheet.layer("root lines").shapes if isinstance(line, Line)}
    left, right = 32.0, 388.0
    assert spans == {
        ((left, slots[0]), (left, slots[2])),
        ((right, slots[0]), (right, slots[1])),
        ((right, slots[2]), (right, slots[3])),
    }


def test_the_measures_across_add_up_to_the_board(sheet):
    figures = [t for t in sheet.layer("measure figures").shapes if isinstance(t, Text)]
    left = [float(t.words) for t in figures if t.angle_deg == 90.0 and t.at[0] < 32.0]
    assert left == [26.0, 46.0, 46.0, 46.0, 26.0]
    assert {"420", "190", "32"} <= {t.words for t in figures}


def test_the_grain_arrow_lies_along_the_grain(sheet, brook):
    (line,) = sheet.layer("grain").shapes
    assert isinstance(line, Line)
    (x0, y0), (x1, y1) = line.points
    assert np.degrees(np.arctan2(y1 - y0, x1 - x0)) == pytest.approx(12.0)
    words = [t.words for t in sheet.layer("words").shapes if isinstance(t, Text)]
    assert "Grain: 12° counter-clockwise from the length" in words


def test_the_front_edge_is_at_the_bottom_of_the_page_and_named(root, sheet):
    front = _group(root, "front-edge")[0].get("d")
    y_front = float(front.split()[-1])
    tops = [ring[:, 1].min() for path in _group(root, "top") for ring in _polygons(path)]
    assert y_front > min(tops)
    (named,) = sheet.layer("front words").shapes
    assert isinstance(named, Text) and "FRONT EDGE" in named.words


def test_the_makers_own_words_are_only_words(root):
    assert root.find(".//s:Daughters", NS) is None
    said = [t.text for t in root.findall(".//s:text", NS)]
    assert "Brook & <Daughters>" in said
    assert root.find("s:title", NS).text == "Brook & <Daughters>: the top, seen from above"


def test_everything_drawn_lies_on_the_sheet(sheet):
    page = box(
        sheet.left_mm,
        sheet.bottom_mm,
        sheet.left_mm + sheet.width_mm,
        sheet.bottom_mm + sheet.height_mm,
    ).buffer(1e-6)
    for layer in sheet.layers:
        for shape in layer.shapes:
            if isinstance(shape, Text) and not shape.angle_deg:
                wide = text_width_mm(shape.words, shape.height_mm, bold=shape.bold)
                start = shape.at[0] - {"start": 0.0, "middle": 0.5 * wide, "end": wide}[shape.anchor]
                assert page.contains(box(start, shape.at[1], start + wide, shape.at[1] + shape.height_mm))
            elif isinstance(shape, Region):
                assert page.contains(Polygon(shape.outer))
            elif isinstance(shape, Line):
                assert all(page.contains(Point(p)) for p in shape.points)


def test_an_inch_drum_is_in_inches_with_its_box_and_holes(pike, pike_outline):
    sheet = layout_sheet(pike, pike_outline)
    words = [s.words for layer in sheet.layers for s in layer.shapes if isinstance(s, Text)]
    assert "5 29/32 in" in words and "16 1/2" in words
    assert any("1/4 in across, drilled through" in w.replace("\n", " ") for w in [" ".join(words)])
    west, _, east, _ = Polygon(sheet.layer("box outside").shapes[0].outer).bounds
    assert east - west == pytest.approx(25.4 * (16.5 + 2 * 0.5))
    assert not any(re.search(r"\bmm\b", w) and "100 mm" not in w for w in words)


def test_the_picture_for_the_page_says_that_it_is_not_to_size(brook, brook_outline):
    words = " ".join(
        s.words
        for layer in layout_sheet(brook, brook_outline, full_size=False).layers
        for s in layer.shapes
        if isinstance(s, Text)
    )
    assert "not to size" in words and "full size" not in words.replace("full-size", "")


def test_a_very_long_name_is_cut_to_the_width_of_the_sheet(brook, brook_outline):
    sheet = layout_sheet(replace(brook, name="Long " * 60), brook_outline)
    (title,) = (s for s in sheet.layer("words").shapes if isinstance(s, Text) and s.words.endswith("…"))
    assert text_width_mm(title.words, title.height_mm, bold=True) < sheet.width_mm


def test_several_pieces_of_wood_are_several_regions(brook_outline):
    pieces = regions(brook_outline.removed)
    assert sum(Polygon(p.outer, p.holes).area for p in pieces) == pytest.approx(brook_outline.removed.area)


def test_knots_are_drawn_where_they_are(brook, sheet):
    assert [layer.name for layer in sheet.layers if layer.name == "knots"] == []
    top = replace(brook.top, knots_mm=(Knot(20.0, 90.0, 9.0),))
    drawn = layout_sheet(replace(brook, top=top), outline(brook))
    (circle,) = next(layer.shapes for layer in drawn.layers if layer.name == "knots")
    assert (circle.centre, circle.radius_mm) == ((20.0, 90.0), 4.5)
    assert "Knots of the board" in svg_file(drawn)
