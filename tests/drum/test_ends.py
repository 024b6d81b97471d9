"""The curve in which a tongue ends."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerftone.drum.ends import end_curve
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
