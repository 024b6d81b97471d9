"""Derivatives against differences of full solves, which know nothing of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Bore
from kerftone.modal.sensitivity import CONSTANTS, bore_map, wood_gradients
from kerftone.modal.solve import solve

from ..solving import solve_once

MODES = [0, 1, 2, 3, 4]


def cents(after, before):
    return 600.0 * np.log2(after.fine_values[MODES] / before.fine_values[MODES])


@pytest.mark.slow
def test_wood_gradients_match_the_difference_of_two_full_solves(solved_w1) -> None:
    drum = solved_w1.drum
    gradients = wood_gradients(solved_w1, MODES)
    for part, constant in (("top", "g_lt_gpa"), ("box", "e_t_gpa")):
        owner = getattr(drum, part)
        after, before = (
            solve(replace(drum, **{part: replace(owner, elastic=_scaled(owner.elastic, constant, by))}))
            for by in (1.02, 1 / 1.02)
        )
        difference = cents(after, before) / (2 * np.log(1.02))
        np.testing.assert_allclose(
            gradients[part][:, CONSTANTS.index(constant)], difference, rtol=0.01, atol=1.0
        )


def _scaled(elastic, constant, by):
    return replace(elastic, **{constant: getattr(elastic, constant) * by})


def test_all_stiffnesses_together_raise_by_half_and_all_densities_lower_by_half(solved_w1) -> None:
    """Pitch goes with the root of stiffness over density: 600 cents for a doubling of either."""
    parts = wood_gradients(solved_w1, MODES).values()
    moduli = [k for k, name in enumerate(CONSTANTS) if name[:2] in ("e_", "g_")]
    per_doubling = np.log(2.0)
    np.testing.assert_allclose(sum(p[:, moduli].sum(axis=1) for p in parts) * per_doubling, 600.0, rtol=1e-3)
    np.testing.assert_allclose(sum(p[:, -1] for p in parts) * per_doubling, -600.0, rtol=1e-3)


@pytest.mark.slow
def test_bore_map_matches_a_shallow_bore_in_the_solid(solved_w1) -> None:
    """Outer half of the tongue, where the first order is good; both drums in two layers."""
    drum = solved_w1.drum
    bore = Bore(x_mm=155.0, y_mm=49.0, diameter_mm=20.0, depth_mm=0.5)
    plain, bored = solve_once(drum, layered=True), solve(replace(drum, bores=(bore,)))
    difference = cents(bored, plain)[3]
    turns, radii = np.linspace(0, 2 * np.pi, 24, endpoint=False), np.array([2.5, 5.0, 7.5, 9.5])
    x, y = (bore.x_mm + np.outer(radii, np.cos(turns)), bore.y_mm + np.outer(radii, np.sin(turns)))
    mean = np.average(bore_map(solved_w1, 3)(x, y), weights=np.outer(radii, np.ones(24)))
    volume_cm3 = np.pi * 1.0**2 * 0.05
    assert difference > 0.5
    assert mean * volume_cm3 == pytest.approx(difference, rel=0.1)


@pytest.mark.outside
def test_boring_raises_near_the_tip_and_lowers_near_the_root(solved_w1) -> None:
    """Common practice, no source; and Rayleigh, Theory of Sound, of filed bars (from memory)."""
    tip, root = bore_map(solved_w1, 3)(np.array([170.0, 50.0]), np.array([49.0, 49.0]))
    assert tip > 0.0 > root
