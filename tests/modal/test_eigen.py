"""The eigensolvers against a dense one, and laws of the extrapolation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
import scipy.linalg
import scipy.stats

from kerftone.modal.eigen import extrapolate, lanczos, refine

SIZE = 150
COUNT = 10


@dataclass(frozen=True)
class Pair:
    """A stiffness and a mass, with the answers of SciPy's dense generalised eigensolver."""

    stiffness: Any
    mass: Any
    values: Any
    modes: Any

    def solve(self, loads: Any) -> Any:
        return np.linalg.solve(self.stiffness, loads.T).T

    def weigh(self, vectors: Any) -> Any:
        return vectors @ self.mass


def random_pair(seed: int, size: int = SIZE) -> Pair:
    """A spectrum that rises like a plate's, in a random basis, with a mass that is far from diagonal."""
    draw = np.random.default_rng(seed)
    basis = draw.standard_normal((size, size)) / np.sqrt(size) + 2.0 * np.eye(size)
    stiffness = (basis * (1.0 + np.arange(size)) ** 2) @ basis.T
    mixed = draw.standard_normal((size, size)) / np.sqrt(size)
    mass = mixed @ mixed.T + 0.5 * np.eye(size)
    values, modes = scipy.linalg.eigh(stiffness, mass)
    return Pair(stiffness, mass, values, modes.T)


@pytest.fixture(scope="module")
def pair() -> Pair:
    return random_pair(0)


@pytest.mark.outside
@pytest.mark.parametrize("seed", range(3))
def test_lanczos_finds_what_a_dense_solver_finds(seed: int) -> None:
    pair = random_pair(seed)
    start = np.random.default_rng(99).standard_normal(SIZE)
    values, modes = lanczos(pair.solve, pair.weigh, start, count=COUNT)
    np.testing.assert_allclose(values, pair.values[:COUNT], rtol=1e-8)
    np.testing.assert_allclose(modes @ pair.mass @ modes.T, np.eye(COUNT), atol=1e-9)
    same = abs(modes @ pair.mass @ pair.modes[:COUNT].T)
    np.testing.assert_allclose(same, np.eye(COUNT), atol=1e-4)


def test_lanczos_leaves_out_what_its_solve_and_start_leave_out(pair: Pair) -> None:
    """As rigid motions are left out: the two lowest modes taken out of every answer."""
    out = pair.modes[:2]

    def solve(load: Any) -> Any:
        moved = pair.solve(load)
        return moved - (out @ pair.mass @ moved) @ out

    values, modes = lanczos(solve, pair.weigh, np.ones(SIZE), count=4)
    np.testing.assert_allclose(values, pair.values[2:6], rtol=1e-8)
    assert abs(out @ pair.mass @ modes.T).max() < 1e-8


def test_lanczos_holds_still_what_the_start_holds_still() -> None:
    """The first forty unknowns held: the answers are those of the pair without their rows and columns."""
    pair = random_pair(4)
    kept = slice(40, SIZE)
    inside, weights = pair.stiffness[kept, kept], pair.mass[kept, kept]

    def solve(load: Any) -> Any:
        moved = np.zeros(SIZE)
        moved[kept] = np.linalg.solve(inside, load[kept])
        return moved

    start = np.ones(SIZE)
    start[:40] = 0.0
    values, modes = lanczos(solve, pair.weigh, start, count=6)
    expected = scipy.linalg.eigh(inside, weights, eigvals_only=True)[:6]
    np.testing.assert_allclose(values, expected, rtol=1e-8)
    assert not modes[:, :40].any()


def test_refining_a_blurred_guess_squares_its_error(pair: Pair) -> None:
    """Eigenvalues of a Rayleigh-Ritz projection err by the square of what the shapes err by."""
    blur = np.random.default_rng(5).standard_normal((COUNT, SIZE)) / np.sqrt(SIZE)
    off = []
    for size in (1e-1, 1e-2):
        found = refine(pair.solve, pair.weigh, pair.modes[:COUNT] + size * blur)
        np.testing.assert_allclose(found.modes @ pair.mass @ found.modes.T, np.eye(COUNT), atol=1e-9)
        assert np.all(found.values > pair.values[:COUNT] * (1.0 - 1e-10)), "a projection can only stiffen"
        off.append(np.max(found.values / pair.values[:COUNT] - 1.0))
    assert off[1] < 1e-4
    assert off[0] / off[1] == pytest.approx(100.0, rel=0.3)


def test_more_rounds_of_refining_bring_the_modes_themselves(pair: Pair) -> None:
    guesses = np.random.default_rng(6).standard_normal((2 * COUNT, SIZE))
    values = refine(pair.solve, pair.weigh, guesses, rounds=12).values
    np.testing.assert_allclose(values[:COUNT], pair.values[:COUNT], rtol=1e-6)


def test_refining_hands_back_the_forces_on_its_modes(pair: Pair) -> None:
    guesses = np.random.default_rng(8).standard_normal((2 * COUNT, SIZE))
    found = refine(pair.solve, pair.weigh, guesses, rounds=2)
    np.testing.assert_allclose(pair.solve(found.forces), found.modes, rtol=1e-9, atol=1e-12)


def test_refining_also_hands_back_the_mass_times_the_first_guesses(pair: Pair) -> None:
    guesses = pair.modes[:COUNT] * np.arange(1.0, COUNT + 1.0)[:, None]
    for rounds in (1, 3):
        found = refine(pair.solve, pair.weigh, guesses, rounds=rounds)
        overlap = found.modes @ found.loads.T
        np.testing.assert_allclose(abs(overlap), np.diag(np.arange(1.0, COUNT + 1.0)), atol=1e-6)


@dataclass(frozen=True)
class Model:
    """True operator A; the fine order sees A + E, the coarse one A + ratio E, each in its own modes."""

    true: Any
    fine: Any
    coarse: Any
    overlap: Any
    fine_modes: Any
    ratio: float


def model(seed: int, values: Any, error: float, ratio: float = 5.0) -> Model:
    draw = np.random.default_rng(seed)
    size = len(values)
    basis = scipy.stats.ortho_group.rvs(size, random_state=draw)
    true = (basis * values) @ basis.T
    roughness = draw.standard_normal((size, size))
    excess = error * roughness @ roughness.T / size
    fine, fine_modes = np.linalg.eigh(true + excess)
    coarse, coarse_modes = np.linalg.eigh(true + ratio * excess)
    return Model(true, fine, coarse, fine_modes.T @ coarse_modes, fine_modes, ratio)


NEAR = np.array([10.0, 10.02, 15.0, 22.0, 22.01, 31.0])
"""Two pairs of near-equal values, as of two tongues that share a mode."""


@pytest.mark.parametrize("seed", range(4))
def test_extrapolation_is_exact_when_both_orders_err_alike(seed: int) -> None:
    """The error parts the near pairs by more than they are apart, so their modes mix differently."""
    found = model(seed, NEAR, error=0.4)
    values, mix = extrapolate(found.fine, found.coarse, found.overlap, error_ratio=found.ratio)
    np.testing.assert_allclose(values, NEAR, rtol=1e-10)
    shapes = found.fine_modes @ mix
    np.testing.assert_allclose(found.true @ shapes, shapes * values, atol=1e-8)


def test_extrapolating_each_value_alone_would_not_be_exact() -> None:
    """Why the operator is extrapolated: value by value the same data miss by many times more."""
    found = model(0, NEAR, error=0.4)
    alone = found.fine - (found.coarse - found.fine) / (found.ratio - 1.0)
    assert abs(alone - NEAR).max() > 1e-3


def test_signs_and_order_of_the_coarse_modes_do_not_matter() -> None:
    found = model(1, NEAR, error=0.4)
    values, _ = extrapolate(found.fine, found.coarse, found.overlap, error_ratio=found.ratio)
    order = np.random.default_rng(2).permutation(len(NEAR))
    signs = np.where(np.arange(len(NEAR)) % 2, 1.0, -1.0)
    again, _ = extrapolate(
        found.fine, found.coarse[order], (found.overlap * signs)[:, order], error_ratio=found.ratio
    )
    np.testing.assert_allclose(again, values, rtol=1e-12)


@pytest.mark.parametrize("angle", [0.3, 0.785, 1.57])
def test_a_pair_of_equal_coarse_modes_may_be_any_mixture(angle: float) -> None:
    draw = np.random.default_rng(3)
    overlap = scipy.stats.ortho_group.rvs(4, random_state=draw)
    fine, coarse = np.array([1.0, 1.5, 2.0, 3.0]), np.array([1.2, 1.8, 1.8, 3.6])
    c, s = np.cos(angle), np.sin(angle)
    turned = overlap.copy()
    turned[:, 1:3] = overlap[:, 1:3] @ np.array([[c, -s], [s, c]])
    values, _ = extrapolate(fine, coarse, overlap, error_ratio=5.0)
    again, _ = extrapolate(fine, coarse, turned, error_ratio=5.0)
    np.testing.assert_allclose(again, values, rtol=1e-12)


@pytest.mark.parametrize("angle", [0.3, 0.785, 1.57])
def test_nearly_equal_coarse_modes_may_be_nearly_any_mixture(angle: float) -> None:
    """Mixing two coarse modes moves the answer by no more than they are apart."""
    apart = 1e-4
    fine, coarse = np.array([1.0, 1.5, 1.6, 3.0]), np.array([1.2, 1.8, 1.8 + apart, 3.6])
    c, s = np.cos(angle), np.sin(angle)
    turned = np.eye(4)
    turned[1:3, 1:3] = [[c, -s], [s, c]]
    values, _ = extrapolate(fine, coarse, np.eye(4), error_ratio=5.0)
    again, _ = extrapolate(fine, coarse, turned, error_ratio=5.0)
    assert 0.0 < abs(again - values).max() < apart


def test_an_overlap_a_little_short_of_one_is_taken_as_a_turn() -> None:
    """Coarse modes lie a little outside the fine ones' span; the shortfall must not pull values down."""
    found = model(2, NEAR, error=0.01)
    values, _ = extrapolate(found.fine, found.coarse, found.overlap, error_ratio=found.ratio)
    again, _ = extrapolate(found.fine, found.coarse, 0.998 * found.overlap, error_ratio=found.ratio)
    np.testing.assert_allclose(again, values, rtol=1e-12)
