"""The lowest modes of a large stiffness and mass: Lanczos on the coarse order, one step on the fine.

Elements of order 3 give pitches some 10 cents sharp, of order 2 some 50, and the two errors keep a nearly
fixed ratio. So the modes are first found at order 2 by shift-invert Lanczos in the mass inner product with
full reorthogonalisation; then one step of inverse iteration at order 3 and a Rayleigh–Ritz projection
give those of order 3; then the rest of the error is taken off by extrapolating the *operator*, not each
pitch: both spectra are written in the basis of the fine modes, so two tongues that share a mode and part
differently at the two orders are still compared like with like.

Works on NumPy arrays (n, unknowns); SI units. K + shift M must be positive definite.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

Array = NDArray[np.floating[Any]]
Apply = Callable[[Array], Array]
"""A matrix as a function of a vector, or of each row of several."""
SETTLED = 1e-6
"""Lanczos stops when the residual of every mode wanted is below this share of its eigenvalue (of the inverse)."""
CHECK_EVERY = 4
"""Steps between two looks whether it is done; own judgement."""


def lanczos(
    solve: Apply, mass: Apply, start: Array, *, count: int, steps: int | None = None
) -> tuple[Array, Array]:
    """The `count` lowest eigenvalues of K + shift M and their mass-normalised modes (count, unknowns).

    `solve` applies the inverse of K + shift M, `mass` applies M, both to one vector. Takes at most 2 count + 15
    steps, or `steps`. Held by test_lanczos_finds_what_a_dense_solver_finds.

    Parameters
    ----------
    solve : Apply
        Applies the inverse of K + shift M to a vector.
    mass : Apply
        Applies M to a vector.
    start : Array
        The vector to begin from, (unknowns,).
    count : int
        How many eigenvalues.
    steps : int | None, optional
        At most; 2 count + 15 where it is not said.
    """
    steps = min(steps or 2 * count + 15, int(np.count_nonzero(start)))
    basis = np.zeros((steps + 1, start.size))
    weighted = np.zeros((steps + 1, start.size))
    tridiagonal = np.zeros((steps + 1, steps + 1))

    def append(row: int, vector: Array) -> float:
        image = mass(vector)
        length = float(np.sqrt(vector @ image))
        basis[row], weighted[row] = vector / length, image / length
        return length

    def found(size: int) -> tuple[Array, Array, Array]:
        """The largest eigenvalues of the inverse after so many steps, their shapes, and their residuals."""
        square = tridiagonal[:size, :size]
        inverse, shapes = np.linalg.eigh(0.5 * (square + square.T))
        best = np.argsort(-inverse)[:count]
        return inverse[best], shapes[:, best], abs(tridiagonal[size, size - 1] * shapes[-1, best])

    with threadpool_limits(1):
        append(0, solve(mass(start)))
        for step in range(steps):
            vector = solve(weighted[step])
            for _ in range(2):
                parts = weighted[: step + 1] @ vector
                vector -= parts @ basis[: step + 1]
                tridiagonal[: step + 1, step] += parts
            tridiagonal[step + 1, step] = append(step + 1, vector)
            if step + 1 == steps or (step > count and step % CHECK_EVERY == 0):
                inverse, shapes, residuals = found(step + 1)
                if np.all(residuals < SETTLED * inverse):
                    break
        return 1.0 / inverse, shapes.T @ basis[: step + 1]


@dataclass(frozen=True, kw_only=True)
class Refined:
    """values (n,): eigenvalues of K + shift M, rising. modes (n, unknowns): mass-normalised.

    forces (n, unknowns): K + shift M times each mode. loads (n, unknowns): M times each guess of the first round.
    """

    values: Array
    modes: Array
    forces: Array
    loads: Array


def refine(solve: Apply, mass: Apply, modes: Array, *, rounds: int = 1) -> Refined:
    """Inverse iteration from good guesses (n, unknowns), then Rayleigh–Ritz.

    Parameters
    ----------
    solve : Apply
        Applies the inverse of K + shift M.
    mass : Apply
        Applies M.
    modes : Array
        The guesses, (n, unknowns).
    rounds : int, optional
        Of inverse iteration.
    """
    first: Array | None = None
    with threadpool_limits(1):
        for _ in range(rounds):
            loads = mass(modes)
            first = loads if first is None else first
            moved = solve(loads)
            weighted = mass(moved)
            values, mix = modes_of(_symmetric(moved @ loads.T), _symmetric(moved @ weighted.T))
            modes, forces = mix.T @ moved, mix.T @ loads
    assert first is not None
    return Refined(values=values, modes=modes, forces=forces, loads=first)


def modes_of(stiffness: Array, mass: Array) -> tuple[Array, Array]:
    """Eigenvalues and mass-normalised modes (as columns) of a small dense problem; mass positive definite.

    NumPy alone: SciPy's own would add a fifth of a second to the start of every command.
    """
    lower = np.linalg.cholesky(mass)
    half = np.linalg.solve(lower, stiffness)
    values, turned = np.linalg.eigh(_symmetric(np.linalg.solve(lower, half.T)))
    return values, np.linalg.solve(lower.T, turned)


def _symmetric(matrix: Array) -> Array:
    return 0.5 * (matrix + matrix.T)


def extrapolate(fine: Array, coarse: Array, overlap: Array, *, error_ratio: float) -> tuple[Array, Array]:
    """Eigenvalues and modes beyond the fine order: values, and the mix of fine modes that makes each.

    overlap (n, n): fine modes (rows) against coarse ones in the mass inner product. `error_ratio` is how many
    times larger the coarse order's error is than the fine one's.

    Parameters
    ----------
    fine : Array
        Eigenvalues of the fine order, (n,).
    coarse : Array
        Eigenvalues of the coarse order, (n,).
    overlap : Array
        Fine modes (rows) against coarse ones in the mass inner product, (n, n).
    error_ratio : float
        How many times larger the coarse order's error is.
    """
    left, _, right = np.linalg.svd(overlap)
    turn = left @ right
    coarse_operator = (turn * coarse) @ turn.T
    operator = np.diag(fine) - (coarse_operator - np.diag(fine)) / (error_ratio - 1.0)
    values, mix = np.linalg.eigh(_symmetric(operator))
    return values, mix
