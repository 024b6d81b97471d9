"""Lines of a drawing find their tongues."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely.geometry import LineString

from kerftone.drum import parse_drum
from kerftone.drum.arcs import Curve, Segment, arc_through, curve_chords
from kerftone.drum.drawn_ends import DrawnPath, drawn_ends, file_path, with_ends
from kerftone.drum.ends import own_curve
from kerftone.drum.outline import outline
from kerftone.errors import OutlineError

from .conftest import reference_toml

W1 = parse_drum(reference_toml("W1"))
"""Rows of 43 mm: edges at 27.5 and 70.5, 73.5 and 116.5, 119.5 and 162.5; roots at 32 and 388."""


def straight(*points: tuple[float, float]) -> Curve:
    """A line through these points."""
    return tuple(Segment(start=a, end=b) for a, b in pairwise(points))


def line(*points: tuple[float, float]) -> DrawnPath:
    return DrawnPath(curve=straight(*points), closed=False)


def test_an_open_line_is_the_end_of_the_tongue_whose_edges_it_joins() -> None:
    drawn = [line((180.0, 27.5), (190.0, 49.0), (180.0, 70.5)), line((230.0, 116.5), (221.0, 73.5))]
    ends, unused = drawn_ends(W1, drawn)
    assert unused == 0
    assert [(W1.tongues[end.tongue].place, end.length_mm) for end in ends] == [("L1", 158.0), ("R2", 167.0)]
    assert ends[0].path == ((-10.0, -21.5), (0.0, 0.0), (-10.0, 21.5))
    # Drawn from the back; a tongue from the right has its tip on the left.
    assert ends[1].path == ((0.0, -21.5), (-9.0, 21.5))


def test_two_lines_in_one_row_belong_left_to_left_and_one_alone_to_the_nearer_tip() -> None:
    two = [line((215.0, 27.5), (215.0, 70.5)), line((180.0, 27.5), (180.0, 70.5))]
    assert [W1.tongues[e.tongue].side for e in drawn_ends(W1, two)[0]] == ["left", "right"]
    (one,), _ = drawn_ends(W1, two[:1])
    assert W1.tongues[one.tongue].side == "right"


def test_of_a_tongues_whole_outline_the_end_is_taken_and_the_root_left_aside() -> None:
    whole = DrawnPath(
        curve=straight((32.0, 27.5), (150.0, 27.5), (182.0, 49.0), (150.0, 70.5), (32.0, 70.5), (32.0, 27.5)),
        closed=True,
    )
    (end,), unused = drawn_ends(W1, [whole])
    assert (end.length_mm, unused) == (150.0, 0)
    assert end.path == ((-32.0, -21.5), (0.0, 0.0), (-32.0, 21.5))


def test_the_waste_between_two_tips_is_the_end_of_both() -> None:
    left, right = (180.0, 170.0), (215.0, 225.0)
    whole = DrawnPath(
        curve=straight((left[0], 27.5), (right[0], 27.5), (right[1], 70.5), (left[1], 70.5), (left[0], 27.5)),
        closed=True,
    )
    ends, _ = drawn_ends(W1, [whole])
    assert [end.path for end in ends] == [((0.0, -21.5), (-10.0, 21.5)), ((0.0, -21.5), (-10.0, 21.5))]
    assert [end.length_mm for end in ends] == [148.0, 173.0]


def test_arcs_stay_arcs_and_free_curves_become_smooth_points_that_follow_them() -> None:
    arc = arc_through((172.0, 27.5), (182.0, 49.0), (172.0, 70.5))
    free = Segment(start=(150.0, 73.5), end=(140.0, 116.5), controls=((175.0, 80.0), (150.0, 112.0)))
    ends, _ = drawn_ends(W1, [DrawnPath(curve=(arc,), closed=False), DrawnPath(curve=(free,), closed=False)])
    assert ends[0].path == ((-10.0, -21.5), (0.0, 0.0, "arc"), (-10.0, 21.5))
    curve = own_curve(ends[1].path)
    furthest = max(x for x, _ in curve_chords((free,), 1e-4))
    mine = LineString([(x + furthest, y + 95.0) for x, y in curve_chords(curve, 1e-3)])
    assert mine.hausdorff_distance(LineString(curve_chords((free,), 1e-3))) < 0.035  # 0.02 and the rounding
    assert len(ends[1].path) < 20


def test_a_corner_between_two_free_curves_stays_a_corner() -> None:
    one = Segment(start=(0.0, 0.0), end=(10.0, 10.0), controls=((5.0, 0.0), (10.0, 5.0)))
    other = Segment(start=(10.0, 10.0), end=(0.0, 20.0), controls=((5.0, 10.0), (0.0, 15.0)))
    path = file_path((one, other))
    assert (10.0, 10.0) in path and path[0] == (0.0, 0.0) and path[-1] == (0.0, 20.0)


def test_lines_that_are_no_ends_are_counted_and_lengths_are_taken_where_asked() -> None:
    drawn = [
        line((180.0, 27.5), (190.0, 70.5)),
        line((0.0, 0.0), (420.0, 0.0)),
        line((50.0, 40.0), (60.0, 50.0)),
    ]
    ends, unused = drawn_ends(W1, drawn)
    assert unused == 2
    assert with_ends(W1, ends, lengths=False).tongues[0].length_mm == 150.0
    taken = with_ends(W1, ends, lengths=True)
    assert taken.tongues[0].length_mm == 158.0
    drawn_again = outline(taken).tongues[0]
    assert drawn_again.bounds == pytest.approx((32.0, 27.5, 190.0, 70.5))
    assert math.isclose(drawn_again.area, 43.0 * 158.0 - 0.5 * 43.0 * 10.0, rel_tol=1e-9)


@pytest.mark.refusal
def test_a_line_that_misses_the_edges_and_too_many_lines_are_told() -> None:
    with pytest.raises(
        OutlineError, match=r"across row 2 runs from 75.10 to 116.50 mm .* draw it from 73.50 to 116.50"
    ):
        drawn_ends(W1, [line((150.0, 75.1), (150.0, 116.5))])
    three = [line((x, 27.5), (x, 70.5)) for x in (150.0, 180.0, 215.0)]
    with pytest.raises(
        OutlineError, match=r"3 lines go across row 1, at 150.0, 180.0, 215.0 mm .* 2 tongues"
    ):
        drawn_ends(W1, three)
