"""Closed integrals against numerical ones and known values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import dblquad

from kerftone.air.rectangles import between_cells, potential


@pytest.mark.outside
def test_a_square_with_itself_is_the_known_integral() -> None:
    """4 ln(1 + sqrt 2) + 4/3 (1 - sqrt 2): the self-potential of a unit square (standard in electrostatics, from
    memory)."""
    unit = np.array([0.0, 1.0])
    known = 4.0 * math.log(1.0 + math.sqrt(2.0)) + 4.0 / 3.0 * (1.0 - math.sqrt(2.0))
    assert between_cells(unit, unit)[0, 0, 0, 0] == pytest.approx(known, rel=1e-12)


def test_cells_that_do_not_touch_agree_with_a_rule_of_points() -> None:
    xs, ys = np.array([0.0, 0.03, 0.033, 0.08]), np.array([0.0, 0.02, 0.05])
    nodes, weights = np.polynomial.legendre.leggauss(12)

    def points(low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
        return 0.5 * (low + high) + 0.5 * (high - low) * nodes, 0.5 * (high - low) * weights

    (x, wx), (y, wy) = points(xs[0], xs[1]), points(ys[0], ys[1])
    (far_x, wfx), (far_y, wfy) = points(xs[2], xs[3]), points(ys[1], ys[2])
    r = np.hypot(
        (x[:, None] - far_x[None, :])[:, None, :, None], (y[:, None] - far_y[None, :])[None, :, None, :]
    )
    whole = np.einsum("i,j,k,l,ijkl", wx, wy, wfx, wfy, 1.0 / r)
    assert between_cells(xs, ys)[0, 0, 2, 1] == pytest.approx(whole, rel=1e-5)


def test_halves_of_a_rectangle_add_up_to_the_whole() -> None:
    ys = np.array([0.0, 0.02])
    whole = between_cells(np.array([0.0, 0.1]), ys)[0, 0, 0, 0]
    parts = between_cells(np.array([0.0, 0.037, 0.1]), ys)
    assert parts.sum() == pytest.approx(whole, rel=1e-10)


def test_a_rectangle_at_a_point_agrees_with_numerical_integration() -> None:
    half = (np.array(0.5), np.array(0.4))
    found, angle = potential(np.array(0.1), np.array(0.2), np.array(0.3), half)
    near = dblquad(
        lambda y, x: 1.0 / math.sqrt((x - 0.1) ** 2 + (y - 0.2) ** 2 + 0.09), -0.5, 0.5, -0.4, 0.4
    )[0]
    seen = dblquad(lambda y, x: 0.3 / math.hypot(x - 0.1, y - 0.2, 0.3) ** 3, -0.5, 0.5, -0.4, 0.4)[0]
    assert found == pytest.approx(near, rel=1e-8)
    assert angle == pytest.approx(seen, rel=1e-8)


@pytest.mark.outside
def test_a_face_of_a_cube_fills_a_sixth_of_what_its_middle_sees() -> None:
    half = (np.array(1.0), np.array(1.0))
    _, angle = potential(np.array(0.0), np.array(0.0), np.array(1.0), half)
    assert angle == pytest.approx(4.0 * math.pi / 6.0, rel=1e-12)
