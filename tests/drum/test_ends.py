"""The curve in which a tongue ends."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from kerftone.drum.arcs import circle_of
from kerftone.drum.ends import end_curve, end_pieces, own_curve, shortest_mm, smooth_through, turned_end
from kerftone.errors import OutlineError

SHAPES = ["square", "round", "slant", "curve"]


@given(st.sampled_from(SHAPES), st.floats(10, 120), st.floats(30, 600), st.sampled_from(["left", "right"]))
def test_every_end_goes_from_edge_to_edge_and_reaches_the_tip_line(
    shape: str, width: float, length: float, side: str
) -> None:
    curve = end_curve(shape, width_mm=width, length_mm=length, side=side)  # type: ignore[arg-type]
    across = [y for _, y in curve]
    assert across[0] == -width / 2 and across[-1] == width / 2
    assert across == sorted(across)
    assert max(x for x, _ in curve) == pytest.approx(0.0, abs=1e-12)
    assert min(x for x, _ in curve) >= -0.8 * length - 1e-9


def test_a_round_end_is_half_a_circle() -> None:
    curve = end_curve("round", width_mm=40, length_mm=150)
    for x, y in curve:
        assert math.hypot(x + 20, y) == pytest.approx(20.0, abs=1e-9)
    assert curve[0] == (-20, -20)


@pytest.mark.rate
@pytest.mark.parametrize("shape", ["round", "curve"])
def test_chords_stay_within_the_tolerance_and_use_it(shape: str) -> None:
    def worst(tolerance: float) -> float:
        curve = end_curve(shape, width_mm=40, length_mm=150, tolerance_mm=tolerance)  # type: ignore[arg-type]
        (x0, y0), (x1, _), (_, y2) = curve[0], curve[len(curve) // 2], curve[-1]
        # The circle through the two edges and the tip, by its chord and rise.
        rise, half = x1 - x0, (y2 - y0) / 2
        radius = (half**2 + rise**2) / (2 * rise)
        middles = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in pairwise(curve)]
        return max(radius - math.hypot(x + radius, y) for x, y in middles)

    assert 0.2 * 0.5 < worst(0.5) <= 0.5
    assert 0.4 * 0.005 < worst(0.005) <= 0.005
    assert len(end_curve("square", width_mm=40, length_mm=150, tolerance_mm=0.001)) == 2


def test_two_facing_slants_are_parted_by_one_straight_cut() -> None:
    left = end_curve("slant", width_mm=40, length_mm=150, side="left")
    right = end_curve("slant", width_mm=40, length_mm=150, side="right")
    gaps = [-a - b for (a, _), (b, _) in zip(left, right, strict=True)]
    assert gaps == pytest.approx([gaps[0]] * 2)


def test_the_makers_own_path_is_stretched_the_last_tenths_to_the_edges() -> None:
    path = ((-3.0, -21.3), (0.0, 0.0), (-3.0, 21.3))
    curve = end_curve(path, width_mm=43.0, length_mm=150)
    assert curve[0] == (-3.0, -21.5)
    assert curve[1] == pytest.approx((0.0, 0.0))
    assert curve[-1][1] == pytest.approx(21.5)


@pytest.mark.refusal
def test_a_path_that_misses_the_edges_is_told_where_they_are() -> None:
    with pytest.raises(OutlineError, match=r"begin at -21.50 and finish at 21.50"):
        end_curve(((0.0, -10.0), (0.0, 10.0)), width_mm=43.0, length_mm=150)


@pytest.mark.refusal
def test_a_path_deeper_than_the_tongue_is_told_how_deep_it_may_be() -> None:
    with pytest.raises(OutlineError, match=r"within 40.0 mm"):
        end_curve(((0.0, -20.0), (-45.0, 20.0)), width_mm=40.0, length_mm=50)


HALF_ROUND = ((-20.0, -20.0), (0.0, 0.0, "arc"), (-20.0, 20.0))
KNOB = (
    (-30.0, -20.0),
    (-24.0, -24.0, "smooth"),
    (0.0, 0.0, "smooth"),
    (-24.0, 24.0, "smooth"),
    (-30.0, 20.0),
)


def test_an_arc_through_a_point_is_the_named_round_end() -> None:
    (mine,) = end_pieces(HALF_ROUND, width_mm=40, length_mm=150)
    (named,) = end_pieces("round", width_mm=40, length_mm=150)
    assert circle_of(mine).centre == pytest.approx(circle_of(named).centre, abs=1e-12)
    assert mine.bulge == pytest.approx(named.bulge)


@pytest.mark.outside
def test_the_area_of_an_end_is_that_of_its_chords_as_shapely_measures_them() -> None:
    for shape, by_hand in (("round", math.pi * 200.0), (HALF_ROUND, math.pi * 200.0), ("square", 0.0)):
        chords = end_curve(shape, width_mm=40, length_mm=150, tolerance_mm=1e-5)  # type: ignore[arg-type]
        area = Polygon([(-20.0, -20.0), *chords, (-20.0, 20.0)]).area
        assert area == pytest.approx(by_hand or 800.0, rel=1e-6)


def test_a_smooth_curve_goes_through_its_points_and_is_free_of_bending_at_its_ends() -> None:
    """A batten held at points: no bending moment where it ends, the same bending on both sides of each point."""
    points = [(0.0, 0.0), (4.0, 9.0), (12.0, 11.0), (20.0, 3.0)]
    pieces = smooth_through(points)
    assert [one.start for one in pieces] == points[:-1] and pieces[-1].end == points[-1]

    def bend(one: object, at_end: bool) -> tuple[float, float]:
        a, b, c, d = one.start, *one.controls, one.end  # type: ignore[attr-defined]
        long = math.dist(one.start, one.end)  # type: ignore[attr-defined]
        p, q, r = (b, c, d) if at_end else (a, b, c)
        return tuple(6.0 * (x - 2.0 * y + z) / long**2 for x, y, z in zip(p, q, r, strict=True))  # type: ignore[return-value]

    assert bend(pieces[0], False) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert bend(pieces[-1], True) == pytest.approx((0.0, 0.0), abs=1e-9)
    for before, after in pairwise(pieces):
        assert bend(before, True) == pytest.approx(bend(after, False), abs=1e-9)


def test_an_end_may_be_wider_than_its_tongue_and_its_furthest_point_is_on_the_tip_line() -> None:
    curve = end_curve(KNOB, width_mm=40, length_mm=150, tolerance_mm=0.001)
    assert curve[0][1] == -20.0 and curve[-1][1] == 20.0
    assert max(y for _, y in curve) > 23.0
    assert max(x for x, _ in curve) == pytest.approx(0.0, abs=1e-9)
    lifted = tuple((x + 7.0, y, *how) for x, y, *how in KNOB)
    again = end_curve(lifted, width_mm=40, length_mm=150, tolerance_mm=0.001)  # type: ignore[arg-type]
    assert [x for x, _ in again] == pytest.approx([x for x, _ in curve], abs=1e-9)


def test_an_end_seen_from_the_other_side_is_turned_and_turned_twice_is_itself() -> None:
    uneven = ((-9.0, -20.0), (0.0, -5.0, "smooth"), (-3.0, 8.0), (-6.0, 14.0, "arc"), (-12.0, 20.0))
    assert turned_end(turned_end(uneven)) == uneven  # type: ignore[arg-type]
    one, other = own_curve(uneven), own_curve(turned_end(uneven))  # type: ignore[arg-type]
    turned = LineString([(x, -y) for x, y in (p for piece in other for p in (piece.start, piece.end))])
    assert turned.equals(LineString([p for piece in one for p in (piece.start, piece.end)]))


def test_the_shortest_tongue_for_an_end_is_one_that_can_have_it() -> None:
    least = shortest_mm(KNOB)  # type: ignore[arg-type]
    assert end_pieces(KNOB, width_mm=40, length_mm=least)  # type: ignore[arg-type]
    with pytest.raises(OutlineError):
        end_pieces(KNOB, width_mm=40, length_mm=0.95 * least - 1.0)  # type: ignore[arg-type]
    assert shortest_mm("round") == 0.0


@pytest.mark.refusal
def test_an_end_that_crosses_itself_is_told() -> None:
    loop = ((0.0, -20.0), (-20.0, 10.0), (-20.0, -10.0), (0.0, 20.0))
    with pytest.raises(OutlineError, match=r"The end of tongue 3 \(D3\) crosses itself"):
        end_pieces(loop, width_mm=40, length_mm=150, name="The end of tongue 3 (D3)")
