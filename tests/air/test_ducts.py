"""The air in straight cuts and in wide gaps."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.air.ducts import inertance
from kerftone.air.grid import Grid

DEEP = 0.016


def cut(xs: np.ndarray, ys: np.ndarray) -> Grid:
    """A grid that is open everywhere."""
    shape = (len(xs) - 1, len(ys) - 1)
    area = np.outer(np.diff(xs), np.diff(ys))
    return Grid(xs=xs, ys=ys, inside=np.ones(shape, dtype=bool), open_m2=area, gap_m=np.full(shape, 0.003))


@pytest.mark.outside
def test_air_that_all_goes_one_way_resists_by_depth_over_area() -> None:
    """A slug: textbook. The same whether the cut is one cell or many of different lengths."""
    one = cut(np.array([0.0, 0.1]), np.array([0.0, 0.003]))
    many = cut(np.array([0.0, 0.02, 0.05, 0.06, 0.1]), np.array([0.0, 0.003]))
    for grid in (one, many):
        share = np.diff(grid.xs) / np.ptp(grid.xs)
        flow = np.concatenate([share, share])
        assert flow @ inertance(grid, DEEP) @ flow == pytest.approx(DEEP / (0.1 * 0.003), rel=1e-3)


def test_air_cannot_go_in_below_without_coming_out_above() -> None:
    grid = cut(np.array([0.0, 0.02, 0.04]), np.array([0.0, 0.003]))
    resists = inertance(grid, DEEP)
    through, in_only = np.array([0.5, 0.5, 0.5, 0.5]), np.array([0.0, 0.0, 0.5, 0.5])
    assert in_only @ resists @ in_only > 1e3 * (through @ resists @ through)


def test_a_flow_that_crosses_over_costs_more_than_one_straight_up() -> None:
    grid = cut(np.linspace(0.0, 0.03, 3), np.array([0.0, 0.03]))
    resists = inertance(grid, DEEP)
    straight, crossing = np.array([1.0, 0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0, 1.0])
    assert crossing @ resists @ crossing > straight @ resists @ straight
