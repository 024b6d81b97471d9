"""How far a mode lifts a place between the corners of the view."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.modal.result import TopView

SQUARE = np.array(
    [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0], [90.0, 0.0], [120.0, 0.0], [90.0, 30.0]]
)
TILTED = np.column_stack([SQUARE @ [0.5, -0.25] + 1.0, abs(SQUARE[:, 0] - 20.0)])
VIEW = TopView(points_mm=SQUARE, triangles=np.array([[0, 1, 2], [0, 2, 3], [4, 6, 5]]), lift=TILTED)


def test_a_motion_that_is_linear_in_the_plane_is_read_exactly_everywhere() -> None:
    places = np.array([[3.0, 2.0], [39.0, 28.0], [10.0, 25.0], [100.0, 5.0], [90.0, 30.0]])
    assert VIEW.lift_at(places, 0) == pytest.approx(places @ [0.5, -0.25] + 1.0)


def test_each_place_is_read_from_the_triangle_it_lies_in() -> None:
    """By hand: |x - 20| is 20 at all four corners, so 20 in both triangles; the other board rises from 70."""
    found = VIEW.lift_at(np.array([[20.0, 10.0], [10.0, 20.0], [97.0, 3.0]]), 1)
    assert found == pytest.approx([20.0, 20.0, 77.0])


def test_a_place_beside_the_wood_is_read_as_the_nearest_goes_on() -> None:
    assert VIEW.lift_at(np.array([[-1e-3, 15.0]]), 0) == pytest.approx([1.0 - 0.25 * 15.0], abs=1e-3)
    far = np.array([[300.0, 300.0]])
    assert VIEW.lift_at(far, 0) == pytest.approx(far @ [0.5, -0.25] + 1.0)
