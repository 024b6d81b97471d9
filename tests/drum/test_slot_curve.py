"""Slots that bow: one arc, a kerf wide, between the two ends that a straight slot has."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from kerftone.drum.arcs import circle_of
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.drum.slot_curve import SlotCurve

FINE_MM = 1e-4


@pytest.fixture(scope="module")
def drum(w1: str) -> Drum:
    return parse_drum(w1, "w1.toml")


def bowed(drum: Drum, *bows: float) -> Drum:
    return replace(drum, slots=replace(drum.slots, bow_mm=bows))


def centre_line(bow: float, *, beyond: float = 0.0) -> LineString:
    """Three points and the circle through them, worked out here by itself: (0, 50), (200, 50 + bow), (400, 50)."""
    radius = (200.0**2 + bow**2) / (2.0 * bow)
    xs = np.linspace(-beyond, 400.0 + beyond, 20001)
    ys = 50.0 + bow - radius + math.copysign(1.0, bow) * np.sqrt(radius**2 - (xs - 200.0) ** 2)
    return LineString(np.column_stack([xs, ys]))


@pytest.mark.parametrize("bow", [7.5, -7.5, 0.01, 40.0])
def test_a_bowed_slot_keeps_its_ends_and_reaches_its_bow(bow: float) -> None:
    line = SlotCurve(left_mm=0.0, right_mm=400.0, y_mm=50.0, bow_mm=bow)
    assert [line.y_at(x) for x in (0.0, 200.0, 400.0)] == pytest.approx([50.0, 50.0 + bow, 50.0], abs=1e-9)


@pytest.mark.outside
@pytest.mark.parametrize("bow", [7.5, -22.0])
def test_its_area_is_that_of_a_kerf_buffered_round_its_centre_line(bow: float) -> None:
    """Shapely's own buffer, of the centre line drawn on beyond its ends and cut off on the root lines."""
    line = SlotCurve(left_mm=0.0, right_mm=400.0, y_mm=50.0, bow_mm=bow)
    edges = [line.chords(off, FINE_MM) for off in (-1.5, 1.5)]
    mine = shapely.Polygon([*edges[0], *reversed(edges[1])])
    kerf = centre_line(bow, beyond=5.0).buffer(1.5, cap_style="flat", quad_segs=64)
    sawn = kerf.intersection(shapely.box(0.0, -100.0, 400.0, 200.0))
    assert mine.area == pytest.approx(sawn.area, rel=1e-6)
    assert mine.symmetric_difference(sawn).area < 1e-5 * sawn.area


def test_both_edges_are_arcs_about_one_middle_a_kerf_apart() -> None:
    line = SlotCurve(left_mm=0.0, right_mm=400.0, y_mm=50.0, bow_mm=-12.0)
    near, far = (circle_of(line.piece(0.0, 400.0, off)) for off in (1.5, -1.5))
    assert math.dist(near.centre, far.centre) < 1e-9
    assert far.radius_mm - near.radius_mm == pytest.approx(3.0, abs=1e-9)


def test_a_part_of_an_edge_lies_on_the_whole_and_runs_either_way() -> None:
    line = SlotCurve(left_mm=0.0, right_mm=400.0, y_mm=50.0, bow_mm=9.0)
    whole = LineString(line.chords(1.5, 1e-6))
    for span in ((0.0, 130.0), (400.0, 210.0)):
        part = line.piece(*span, 1.5)
        middle = circle_of(part).at(0.5)
        assert whole.distance(shapely.Point(middle)) < 1e-5
        assert math.dist(circle_of(part).at(1.0), part.end) < 1e-9


def test_chords_of_the_same_area_enclose_what_the_arc_does() -> None:
    line = SlotCurve(left_mm=0.0, right_mm=400.0, y_mm=50.0, bow_mm=9.0)
    fine, coarse = (
        shapely.Polygon([(0.0, 0.0), *line.chords(0.0, mm, same_area=mm > 0.1), (400.0, 0.0)]).area
        for mm in (FINE_MM, 2.0)
    )
    assert coarse == pytest.approx(fine, rel=1e-6)


def test_no_bow_at_all_is_the_straight_drum_to_the_last_bit(drum: Drum) -> None:
    assert outline(bowed(drum, 0.0, 0.0, 0.0, 0.0)).top.equals_exact(outline(drum).top, 0.0)


def test_slots_that_bow_against_each_other_leave_a_top_that_mirrors(drum: Drum) -> None:
    tongues = tuple(replace(t, length_mm=150.0) for t in drum.tongues)
    drawn = outline(bowed(replace(drum, tongues=tongues), 4.0, -3.0, 3.0, -4.0), tolerance_mm=1e-3)
    turned = shapely.affinity.scale(drawn.top, yfact=-1.0, origin=(0.0, 0.5 * drum.top.width_mm))
    assert drawn.top.symmetric_difference(turned).area < 1e-6 * drawn.top.area


def test_the_saw_takes_a_kerf_along_every_bowed_slot(drum: Drum) -> None:
    """Every place on the centre lines is half a kerf from wood, ends and tips left aside."""
    drawn = outline(bowed(drum, 5.0, -3.0, 6.0, 2.0), tolerance_mm=1e-3)
    lines = drawn.layout
    tips = {0.5 * (lines.root_left_mm + lines.root_right_mm)}
    for number in range(4):
        for x in (lines.root_left_mm + 20.0, lines.root_left_mm + 90.0, lines.root_right_mm - 40.0):
            spot = shapely.Point(x, lines.slot(number).y_at(x))
            assert x not in tips
            assert drawn.top.distance(spot) == pytest.approx(0.5 * drum.slots.kerf_mm, abs=2e-3)


def test_a_tongue_alone_in_its_row_keeps_a_kerf_round_it_and_the_wood_beyond(drum: Drum) -> None:
    alone = replace(drum, tongues=drum.tongues[:1])
    drawn = outline(
        bowed(replace(alone, top=replace(alone.top, width_mm=98.0)), 5.0, -4.0), tolerance_mm=1e-3
    )
    (tongue,) = drawn.tongues
    apart = tongue.buffer(drum.slots.kerf_mm - 0.01).difference(tongue)
    beyond_root = shapely.box(drawn.layout.root_left_mm, 0.0, 420.0, 98.0)
    assert drawn.top.difference(tongue).intersection(apart).intersection(beyond_root).area < 1e-3
    (slot, other) = drawn.slot_lines
    assert slot[1] == other[1] == pytest.approx(drawn.layout.root_left_mm + 150.0 + drum.slots.kerf_mm)


@pytest.mark.parametrize(
    "end", ["square", "round", "slant", "curve", ((-9.0, -21.5), (0.0, 0.0, "arc"), (-9.0, 21.5))]
)
def test_ends_of_every_shape_meet_the_bowed_edges(drum: Drum, end: object) -> None:
    made = bowed(drum, 5.0, -3.0, 6.0, 2.0)
    made = replace(made, slots=replace(made.slots, tongue_end=end))  # type: ignore[arg-type]
    drawn = outline(made, tolerance_mm=1e-3)
    lines = drawn.layout
    for tongue, shape in zip(made.tongues, drawn.tongues, strict=True):
        assert shape.is_valid and shape.geom_type == "Polygon"
        root = lines.root_mm(tongue.side or "left")
        reach = max(abs(shape.bounds[0] - root), abs(shape.bounds[2] - root))
        assert reach == pytest.approx(tongue.length_mm, abs=1e-3)
        between = shapely.Polygon(
            [
                *lines.slot((tongue.row or 1) - 1).chords(1.5, 1e-3),
                *reversed(lines.slot(tongue.row or 1).chords(-1.5, 1e-3)),
            ]
        )
        assert shape.difference(between.buffer(1e-2)).is_empty


def test_a_spot_of_a_bowed_tongue_is_told_from_its_own_edge_there(drum: Drum) -> None:
    lines = outline(bowed(drum, 0.0, 6.0, 0.0, 0.0)).layout
    tongue = next(t for t in drum.tongues if t.row == 2 and t.side == "right")
    x, y = lines.spot_mm(tongue, 120.0, 10.0)
    assert y - lines.slot(1).y_at(x, 1.5) == pytest.approx(10.0)
    assert lines.place_mm(tongue, x, y) == pytest.approx((120.0, 10.0))
