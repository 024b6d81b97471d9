"""The tones of a board that hangs free, and how each answers to the wood and to the board's size.

The displacement of a plain rectangular board is written in products of Legendre polynomials along, across
and through it; stiffness and mass are then small dense matrices, split eight ways by the board's three
planes of symmetry (Rayleigh-Ritz, as in resonant ultrasound work: Visscher and others 1991, from memory).
A whole spectrum takes a fraction of a second, which a fit from tapped tones needs; `plain_board.py` solves the same
board with bricks, and any way it may be held.

Grain runs straight along x. Sizes in mm, tones in Hz; inside it is SI. Held by tests/modal/test_free_board.py
against another program's tones and against `plain_board.py`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Any

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray
from scipy.linalg import eigh

from kerftone.drum.design import Cut
from kerftone.modal.eigen import Array
from kerftone.modal.mechanics import flat_axes, stiffness
from kerftone.modal.sensitivity import CONSTANTS, slope
from kerftone.wood.elastic import Elastic

Orders = tuple[int, int, int]
ORDERS: Orders = (13, 11, 4)
"""Highest powers along, across and through; enough for the ten lowest tones to 0.2 cents; tests hold it."""
ROUGH: Orders = (11, 9, 3)
"""Four times as fast, and within 2 cents for the ten lowest tones of common boards: for the steps on the way."""
ALONG, TWISTING, ACROSS, OTHER = "along", "twisting", "across", "other"
RIGID = 1e-6
"""Below this share of the lowest class's largest eigenvalue a motion strains nothing."""

Symmetry = tuple[int, int, int]
"""Of x, y, z: whether the upward motion, times z for z, is even (0) or odd (1) about the middle of the board."""
Name = tuple[Symmetry, int]

Row = tuple[float, Symmetry, Array]
PARITIES: tuple[Symmetry, ...] = tuple((a, b, c) for a, b, c in product((0, 1), repeat=3))

# Each strain component as (displacement, direction of its derivative), in the order xx, yy, zz, yz, xz, xy.
STRAINS = (((0, 0),), ((1, 1),), ((2, 2),), ((1, 2), (2, 1)), ((0, 2), (2, 0)), ((0, 1), (1, 0)))
PAIRS = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2), (3, 3), (4, 4), (5, 5))
"""Pairs of strain components that an orthotropic wood couples along its own axes."""


@dataclass(frozen=True, kw_only=True)
class FreeTones:
    """Tones of one free board, lowest first.

    `by_constant` (n, constants) and `by_size` (n, 3): how many cents a tone rises when a constant, or the
    length, width or thickness, grows by its own size (per unit of natural logarithm). `kinds` says what
    each motion mostly is: "along" or "across" for bending, "twisting", or "other" for motion in the plane.
    `names`: the symmetry of each motion and its number among those of that symmetry. Motions of one symmetry
    never change places as the wood changes, so a name means the same motion for every wood.
    """

    hz: Array
    kinds: tuple[str, ...]
    names: tuple[Name, ...]
    by_constant: Array
    by_size: Array


def free_tones(
    *,
    size_mm: tuple[float, float, float],
    elastic: Elastic,
    cut: Cut,
    count: int = 16,
    orders: Orders = ORDERS,
) -> FreeTones:
    """What tones a free board has, and how each answers to its constants and sizes.

    `size_mm`: length along the grain, width, thickness. Good to 0.2 cents for the ten lowest tones of the
    reference boards, one of them seven times as long as wide.
    Held by test_free_tones_are_those_of_another_program.

    Parameters
    ----------
    size_mm : tuple[float, float, float]
        Length along the grain, width and thickness, in mm.
    elastic : Elastic
        Its constants, in GPa and kg/m³.
    cut : Cut
        How its growth rings lie.
    count : int, optional
        How many tones.
    orders : Orders, optional
        Highest powers along, across and through.
    """
    axes = flat_axes(cut)
    moduli = stiffness(elastic, axes)
    slopes = [slope(elastic, axes, name) for name in CONSTANTS[:-1]]
    scale = 2e3 / np.array(size_mm)
    found = [row for parity in PARITIES for row in _class_rows(parity, orders, moduli, scale, count)]
    found.sort(key=lambda row: row[0])
    found = found[:count]
    symmetries = [parity for _, parity, _ in found]
    values = np.array([value for value, _, _ in found])
    energies = _energies(found, orders)
    shares = np.array([[_factor(term, part, scale) for term in _term_list()] for part in slopes]) @ energies
    rows = np.vstack([shares / values, np.full(len(values), -1.0)]).T
    parts = energies * np.array([[_factor(term, moduli, scale)] for term in _term_list()])
    by_size = -np.array([[term[2].count(way) for term in _term_list()] for way in range(3)]) @ parts / values
    cents = 600.0 / math.log(2.0)
    return FreeTones(
        hz=np.sqrt(values / elastic.density_kg_m3) / (2.0 * math.pi),
        kinds=tuple(
            _kind(parity, dict(zip(CONSTANTS, row, strict=True)), cut)
            for parity, row in zip(symmetries, rows, strict=True)
        ),
        names=tuple((one, symmetries[:at].count(one)) for at, one in enumerate(symmetries)),
        by_constant=cents * rows,
        by_size=cents * by_size.T,
    )


def _energies(found: Sequence[Row], orders: Orders) -> Array:
    """The integral behind each term of the energy, of each motion (terms, motions)."""
    energies = np.empty((len(_term_list()), len(found)))
    for parity in {row[1] for row in found}:
        places = [at for at, row in enumerate(found) if row[1] == parity]
        shapes = np.array([found[at][2] for at in places]).T
        energies[:, places] = np.sum(shapes * (_terms(parity, orders)[1] @ shapes), axis=1)
    return energies


def _kind(parity: Symmetry, share: dict[str, float], cut: Cut) -> str:
    """What a motion mostly strains; `parity` is that of x, y, z times the displacement upward."""
    if parity[2] == 0:
        return OTHER  # the upper and lower faces move alike in the plane: length and width modes
    across = {"flatsawn": ("e_t_gpa", "g_lt_gpa"), "quartersawn": ("e_r_gpa", "g_lr_gpa")}[cut]
    shares = {ALONG: share["e_l_gpa"], ACROSS: share[across[0]], TWISTING: share[across[1]]}
    return max(shares, key=lambda kind: shares[kind])


def _class_rows(parity: Symmetry, orders: Orders, moduli: Array, scale: Array, count: int) -> list[Row]:
    """Of one class of symmetry: (density times (2 pi f)², parity, shape) of its lowest tones."""
    terms, matrices = _terms(parity, orders)
    weights = np.array([_factor(term, moduli, scale) for term in terms])
    whole = np.tensordot(weights, matrices, axes=1)
    top = min(
        count // 2 + 4, len(whole)
    )  # no class has half of the lowest tones; six of them hold rigid motions
    values, shapes = eigh(whole, subset_by_index=(0, top - 1), driver="evr", check_finite=False)
    keep = values > RIGID * float(values[-1])
    return [(float(v), parity, shape) for v, shape in zip(values[keep], shapes.T[keep], strict=True)]


Powers = NDArray[np.integer[Any]]
Term = tuple[int, int, tuple[int, int]]
"""Two strain components and the two directions of the derivatives in them."""


def _factor(term: Term, moduli: Array, scale: Array) -> float:
    a, b, (first, second) = term
    return float(moduli[a, b] * scale[first] * scale[second])


@cache
def _term_list() -> tuple[Term, ...]:
    return tuple(
        (a, b, (first[1], second[1])) for a, b in PAIRS for first in STRAINS[a] for second in STRAINS[b]
    )


@cache
def _line(order: int) -> tuple[Array, Array]:
    """Of Legendre polynomials, normalised on [-1, 1]: integrals of P' P and of P' P'."""
    points, weights = legendre.leggauss(order + 2)
    norm = np.sqrt(np.arange(order + 1) + 0.5)
    values = legendre.legvander(points, order) * norm
    steep = np.array([legendre.legval(points, legendre.legder(row)) for row in np.eye(order + 1)]).T * norm
    return steep.T @ (weights[:, None] * values), steep.T @ (weights[:, None] * steep)


@cache
def _terms(parity: Symmetry, orders: Orders) -> tuple[tuple[Term, ...], Array]:
    """The terms of the energy of one class of symmetry, each as a matrix (terms, unknowns, unknowns).

    Displacement i has the class's parity in every direction but its own.
    """
    powers = [[np.arange((parity[d] + (d == i)) % 2, orders[d] + 1, 2) for d in range(3)] for i in range(3)]
    sizes = [math.prod(len(line) for line in field) for field in powers]
    starts = np.concatenate([[0], np.cumsum(sizes)])
    matrices = []
    for a, b in PAIRS:
        for field, way in STRAINS[a]:
            for other, other_way in STRAINS[b]:
                block = _product(orders, (powers[field], powers[other]), way, other_way)
                matrix = np.zeros((starts[-1], starts[-1]))
                rows, columns = (slice(starts[f], starts[f + 1]) for f in (field, other))
                matrix[rows, columns] += block
                matrix = matrix + matrix.T if a != b else 0.5 * (matrix + matrix.T)
                matrices.append(matrix)
    return _term_list(), np.array(matrices)


def _product(orders: Orders, powers: Sequence[Sequence[Powers]], way: int, other_way: int) -> Array:
    """The integral over the board of one derivative of one field times one of another."""
    block = np.ones((1, 1))
    for direction in range(3):
        slope_value, slope_slope = _line(orders[direction])
        if way == direction and other_way == direction:
            line = slope_slope
        elif way == direction:
            line = slope_value
        elif other_way == direction:
            line = slope_value.T
        else:
            line = np.eye(orders[direction] + 1)
        block = np.kron(block, line[np.ix_(powers[0][direction], powers[1][direction])])
    return block
