"""The bench map: an INVENTED effect of boring, linear along each tongue, whose lines are known beforehand."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from kerftone.draw.bench_map import BenchMap, MapBore, TongueMap, bench_map_sheet, field_lines, line_step
from kerftone.draw.free_room import text_box
from kerftone.draw.sheet import Circle, Line, Region, Text


@pytest.fixture(scope="module")
def brook_map(brook, brook_outline):
    """INVENTED: 8 cents per mm at the tip, -4 at the root, straight between: nothing one third out."""
    tongues = []
    for tongue, shape in zip(brook.tongues, brook_outline.tongues, strict=True):
        west, south, east, north = shape.bounds
        xs, ys = np.linspace(west + 5, east - 5, 30), np.linspace(south + 5, north - 5, 9)
        share = (xs - west) / (east - west)
        share = share if tongue.side == "left" else 1.0 - share
        grid = np.broadcast_to(12.0 * share - 4.0, (9, 30)).copy()
        tongues.append(
            TongueMap(
                place=tongue.place, note=tongue.note, shape=shape, xs_mm=xs, ys_mm=ys, cents_per_mm=grid
            )
        )
    return BenchMap(
        name=brook.name,
        board=brook_outline.board,
        wood=brook_outline.top,
        box_inner=brook_outline.box_inner,
        bit_mm=20.0,
        tongues=tuple(tongues),
        keep_out=(box(32.0, 26.0, 52.0, 72.0),),
        made=(MapBore(x_mm=330.0, y_mm=49.0, diameter_mm=20.0, depth_mm=4.0, name="1"),),
        next_bore=MapBore(x_mm=150.0, y_mm=49.0, diameter_mm=20.0, depth_mm=2.5),
        words=("L1 D3 is 21 cents flat. Bore 20 mm wide, 2.5 mm deep at the cross.",),
    )


@pytest.fixture(scope="module")
def sheet(brook_map):
    return bench_map_sheet(brook_map)


def _xs(sheet, name):
    return [x for s in sheet.layer(name).shapes if isinstance(s, Line) for x, _ in s.points]


def test_the_zero_line_lies_one_third_out_and_is_mirrored(sheet):
    xs = _xs(sheet, "zero line")
    # L1's root is at 32, 150 long: zero at 82 from above, which is 420 - 82 from below.
    assert any(x == pytest.approx(338.0, abs=1e-6) for x in xs)
    assert not any(x == pytest.approx(82.0, abs=2.0) for x in xs)


def test_in_inches_the_lines_tell_the_cents_of_a_sixteenth(brook_map):
    """A sixteenth is 1.5875 mm: what is +8 cents a mm at the tip is +12.7 a sixteenth."""
    inches = bench_map_sheet(replace(brook_map, units="in"))
    figures = {s.words for s in inches.layer("figures").shapes if isinstance(s, Text)}
    assert "+10" in figures
    told = " ".join(entry.words for entry in inches.marks)
    assert "each 1/16 in of depth" in told and "each mm" not in told
    xs = _xs(inches, "zero line")
    assert any(x == pytest.approx(338.0, abs=1e-6) for x in xs), "the zero line stays where it is"


def test_the_lines_before_turning_are_where_the_field_says(brook_map):
    ((*points,),) = field_lines(brook_map.tongues[0], 4.0)
    assert {round(x, 6) for x, _ in points} == {132.0}


def test_what_is_not_known_carries_no_lines(brook_map):
    tongue = brook_map.tongues[0]
    grid = tongue.cents_per_mm.copy()
    grid[:, 10:] = np.nan
    half = TongueMap(
        place="L1", note="D3", shape=tongue.shape, xs_mm=tongue.xs_mm, ys_mm=tongue.ys_mm, cents_per_mm=grid
    )
    assert field_lines(half, 4.0) == []
    assert len(field_lines(half, -2.0)) == 1


def test_there_are_never_more_lines_than_can_be_told_apart():
    for span in (0.5, 3.0, 11.0, 70.0, 390.0):
        assert span / line_step(np.array([[0.0, span], [np.nan, 1e-3]])) <= 8.0
    assert line_step(np.full((2, 2), np.nan)) > 0.0


def test_bores_lie_where_they_are_seen_from_below(sheet):
    (made,) = [s for s in sheet.layer("bores made").shapes if isinstance(s, Circle)]
    (coming,) = [s for s in sheet.layer("next bore").shapes if isinstance(s, Circle)]
    assert made.centre == (90.0, 49.0) and coming.centre == (270.0, 49.0)
    (words,) = sheet.layer("next words").shapes
    assert words.words == "NEXT: 2.5 mm deep"


def test_keep_out_zones_are_mirrored_and_hatched_inside(sheet):
    shapes = sheet.layer("keep out").shapes
    (zone,) = [s for s in shapes if isinstance(s, Region)]
    assert Polygon(zone.outer).bounds == (368.0, 26.0, 388.0, 72.0)
    hatch = [s for s in shapes if isinstance(s, Line)]
    assert len(hatch) > 8
    assert all(367.9 <= x <= 388.1 and 25.9 <= y <= 72.1 for line in hatch for x, y in line.points)


def test_words_say_which_way_up_it_lies_and_what_to_do(sheet):
    layers = (sheet.layer("words"), sheet.layer("edges"))
    said = " ".join(s.words for layer in layers for s in layer.shapes if isinstance(s, Text))
    for words in ("face down", "left end is on the right", "21 cents flat", "FRONT EDGE", "20 mm bit"):
        assert words in said


def test_all_of_the_map_lies_on_its_sheet_and_reads(sheet):
    page = box(
        sheet.left_mm, sheet.bottom_mm, sheet.left_mm + sheet.width_mm, sheet.bottom_mm + sheet.height_mm
    )
    for layer in sheet.layers:
        for shape in layer.shapes:
            if isinstance(shape, Line):
                assert page.covers(box(*shape.points[0], *shape.points[0]))
            if isinstance(shape, Text):
                assert shape.height_mm >= 3.2 and page.covers(box(*shape.at, *shape.at))


def test_no_words_on_the_wood_lie_on_one_another(brook_map):
    """Three bores side by side, one of them narrow, and the next among them, over the closest lines of the map."""
    row = [
        MapBore(x_mm=x, y_mm=49.0, diameter_mm=bit, depth_mm=6.5, name=str(n))
        for n, (x, bit) in enumerate(ROW, 1)
    ]
    crowded = bench_map_sheet(replace(brook_map, made=tuple(row)))
    names = ("names", "figures", "bore words", "next words")
    words = [
        s for layer in crowded.layers if layer.name in names for s in layer.shapes if isinstance(s, Text)
    ]
    assert len([text for text in words if text.words.endswith(": 6.5")]) == 3
    assert len(words) > 20 and any(text.words.startswith("NEXT") for text in words)
    boxes = [box(*text_box(text)) for text in words]
    assert not [(a, b) for a, b in itertools.combinations(boxes, 2) if a.intersection(b).area > 0.0]


ROW = ((130.0, 10.0), (144.0, 15.0), (165.0, 20.0))


def test_the_map_says_a_depth_in_inches_as_the_next_step_does(brook_map):
    inches = replace(brook_map, units="in", next_bore=replace(brook_map.next_bore, depth_mm=25.4 * 17 / 64))
    (label,) = (s for s in bench_map_sheet(inches).layer("next words").shapes if isinstance(s, Text))
    assert label.words == "NEXT: 17/64 in deep"
