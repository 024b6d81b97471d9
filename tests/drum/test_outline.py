"""The plan of the top: wood counted by hand, rules read off the drawing."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import get_args

import pytest
from shapely.geometry import LineString, Point, box

from kerftone.drum import Drum, parse_drum
from kerftone.drum.design import EndShape
from kerftone.drum.outline import outline
from kerftone.errors import NeedsFitError

from .conftest import reference_toml

W1 = parse_drum(reference_toml("W1"))
W2 = parse_drum(reference_toml("W2"))


def only(drum: Drum, *numbers: int) -> Drum:
    """The drum with these of its tongues, counted from 1."""
    return replace(drum, tongues=tuple(drum.tongues[n - 1] for n in numbers))


def with_slots(drum: Drum, **values: object) -> Drum:
    return replace(drum, slots=replace(drum.slots, **values))  # type: ignore[arg-type]


def test_the_wood_that_goes_is_four_slots_and_three_gaps() -> None:
    # W1 by hand: span 420 - 64 = 356; 4 slots of 3; three gaps of 36 by the tongue width 138/3 - 3 = 43.
    drawn = outline(W1)
    assert drawn.removed.area == pytest.approx(4 * 356 * 3 + 3 * 36 * 43)
    assert drawn.top.area + drawn.removed.area == pytest.approx(420 * 190)
    assert drawn.layout.row_pitch_mm == 46 and drawn.layout.tongue_width_mm == 43


def test_the_top_has_no_more_corners_than_the_saw_makes() -> None:
    ring = outline(W1).top.interiors[0]
    assert len(ring.coords) - 1 == 6 * 4 + 4  # four for each tongue, four outer slot ends


def test_slots_run_on_their_centre_lines_from_root_to_root() -> None:
    assert outline(W1).slot_lines == tuple((32.0, 388.0, y) for y in (26.0, 72.0, 118.0, 164.0))


def test_row_one_is_in_front_and_sides_are_seen_from_above() -> None:
    drawn = outline(W1)
    assert drawn.tongues[0].bounds == (32, 27.5, 182, 70.5)  # C3, row 1, left, 150 long
    assert drawn.tongues[5].bounds == (388 - 150, 119.5, 388, 162.5)  # A3, row 3, right


def test_a_place_is_measured_from_the_root_and_from_the_front_edge_and_back() -> None:
    lines, left, right = outline(W1).layout, W1.tongues[0], W1.tongues[5]
    assert lines.spot_mm(left, 100.0) == (132.0, 49.0)
    assert lines.spot_mm(right, 100.0, 6.0) == (288.0, 125.5)
    assert lines.place_mm(left, 132.0, 49.0) == (100.0, 21.5)
    assert lines.place_mm(right, 288.0, 125.5) == (100.0, 6.0)


def test_a_tongue_is_struck_15_mm_from_its_tip_on_its_centre_line() -> None:
    assert outline(W1).strike_points[0] == (32 + 150 - 15, 49)
    assert outline(W1).strike_points[5] == (388 - 150 + 15, 141)


def test_a_tongue_alone_keeps_the_rest_of_its_row() -> None:
    drawn = outline(only(W1, 1))  # row 1, left, 150 long, in a one-row drum
    # One row now: tongue 138 - 3 = 135 wide. By hand: two slots of 153 and a kerf of 135 by 3 across the tip.
    assert drawn.removed.area == pytest.approx(2 * 153 * 3 + 135 * 3)
    assert drawn.removed.bounds == (32, 24.5, 185, 165.5)
    assert drawn.slot_lines == ((32, 185, 26), (32, 185, 164))


def test_a_slot_beside_a_tongue_alone_runs_on_where_the_neighbour_needs_it() -> None:
    drawn = outline(only(W1, 1, 4, 2))  # row 1 both, row 2 left alone (130 long)
    assert drawn.slot_lines == ((32, 388, 26), (32, 388, 95), (32, 165, 164))
    assert drawn.top.contains(box(167, 97, 388, 164))


def test_two_tongues_alone_on_opposite_sides_keep_their_own_slots() -> None:
    drum = only(W1, 1, 5)  # row 1 left 150; row 2 right 190
    drawn = outline(drum)
    assert drawn.slot_lines == ((32, 185, 26), (32, 185, 95), (195, 388, 95), (195, 388, 164))
    assert drawn.top.contains(LineString([(187, 95), (193, 95)]))


def test_a_row_without_tongues_stays_solid() -> None:
    drawn = outline(only(W1, 1, 4, 3, 6))
    assert drawn.layout.rows == 3
    assert drawn.top.contains(box(32, 73.5, 388, 116.5))


@pytest.mark.parametrize("shape", get_args(EndShape))
@pytest.mark.parametrize("numbers", [(1, 2, 3, 4, 5, 6), (1, 4, 3), (2,)])
def test_the_kerf_follows_the_end_and_is_a_kerf_wide(shape: EndShape, numbers: tuple[int, ...]) -> None:
    drum = only(with_slots(W1, tongue_end=shape), *numbers)
    drawn = outline(drum)
    assert drawn.top.is_valid and drawn.top.geom_type == "Polygon"
    for tongue in drawn.tongues:
        assert drawn.top.buffer(1e-6).contains(tongue)
        free = tongue.boundary.difference(drawn.removed.buffer(1e-6))
        # Only the root line holds: everything else of the tongue's edge is sawn.
        assert free.length == pytest.approx(drawn.layout.tongue_width_mm, abs=1e-4)
    if len(numbers) == 1:
        around = drawn.top.difference(drawn.tongues[0].buffer(1e-6))
        sawn = drawn.tongues[0].boundary.difference(around.buffer(2.99))
        assert sawn.length > drawn.tongues[0].length - drawn.layout.tongue_width_mm - 7  # but at the root
        cut = drawn.removed.area / (2.0 * 130 + drawn.layout.tongue_width_mm)
        assert cut < 4.0


def test_a_pair_with_round_ends_loses_what_lies_between_the_two_half_circles() -> None:
    drawn = outline(with_slots(W1, tongue_end="round"), tolerance_mm=1e-4)
    more = 6 * (43**2 / 2 - math.pi * 21.5**2 / 2)  # by hand: each end gives up its two corners
    assert drawn.removed.area == pytest.approx(4 * 356 * 3 + 3 * 36 * 43 + more, rel=1e-5)


def test_a_path_is_drawn_with_its_front_edge_in_front_on_both_sides() -> None:
    path = ((-10.0, -21.5), (0.0, 21.5))
    drawn = outline(with_slots(W1, tongue_end=path))
    left, right = drawn.tongues[0], drawn.tongues[3]
    assert not left.contains(Point(180, 28)) and left.contains(Point(180, 70))
    assert not right.contains(Point(388 - 168, 28)) and right.contains(Point(388 - 168, 70))
    assert drawn.strike_points[0] == pytest.approx((32 + 145 - 15, 49))


def test_stop_holes_stand_on_the_root_ends_only() -> None:
    drawn = outline(with_slots(only(W1, 1, 4, 2), stop_hole_mm=8.0), tolerance_mm=1e-4)
    assert {(x, y) for x, y, _ in drawn.stop_holes} == {
        *((32.0, y) for y in (26.0, 95.0, 164.0)),
        *((388.0, y) for y in (26.0, 95.0)),
    }
    plain = outline(only(W1, 1, 4, 2))
    # By hand: the half disc behind the root line, and in front of it the half disc less the slot's strip.
    strip = 2 * (0.5 * 1.5 * math.sqrt(16 - 2.25) + 8 * math.asin(1.5 / 4))
    extra = math.pi * 16 - strip
    assert drawn.removed.area - plain.removed.area == pytest.approx(5 * extra, rel=1e-4)


def test_a_stop_hole_no_wider_than_the_kerf_is_no_hole() -> None:
    assert outline(with_slots(W1, stop_hole_mm=3.0)) == outline(W1)


def test_the_box_stands_under_the_top_or_round_it() -> None:
    on_walls, in_ledge = outline(W1), outline(W2)
    assert on_walls.box_outer.bounds == (0, 0, 420, 190)
    assert on_walls.box_inner.bounds == (12, 12, 408, 178)
    # Wall 18, ledge 6: the outer box is 12 larger each way, and the ledge shows 6 under the board's edge.
    assert in_ledge.box_outer.bounds == (-12, -12, 372, 162)
    assert in_ledge.box_inner.bounds == (6, 6, 354, 144)


@pytest.mark.parametrize(
    ("length", "width", "rows"), [(419.7, 190.1, 3), (1000 / 3, 97.3, 2), (777.7, 555.5, 7)]
)
def test_awkward_sizes_leave_no_slivers(length: float, width: float, rows: int) -> None:
    tongues = [
        replace(W1.tongues[0], row=row, side=side, length_mm=length / 3 + row / 7)
        for row in range(1, rows + 1)
        for side in ("left", "right")
    ]
    drum = replace(W1, top=replace(W1.top, length_mm=length, width_mm=width), tongues=tuple(tongues))
    ring = outline(drum).top.interiors[0]
    corners = list(ring.coords)
    assert min(math.dist(a, b) for a, b in pairwise(corners)) > 0.1
    assert len(corners) - 1 == 8 * rows + 4


@pytest.mark.refusal
def test_a_drum_without_lengths_is_sent_to_fit() -> None:
    bare = replace(W1, tongues=tuple(replace(t, length_mm=None) for t in W1.tongues[:2]))
    with pytest.raises(
        NeedsFitError, match=r"Tongues 1 \(C3\), 2 \(D3\) have no length .*have the length found"
    ):
        outline(bare)
    nowhere = replace(W1, tongues=(replace(W1.tongues[0], row=None, side=None), *W1.tongues[1:]))
    with pytest.raises(NeedsFitError, match=r"Tongue 1 \(C3\) has no place"):
        outline(nowhere)
