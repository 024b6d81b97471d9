"""How each pitch answers to a small change: of the wood's constants, or of a bore.

Once the modes are known these cost an integral each. With u mass-normalised and lambda = (2 pi f)²:
a constant p of the wood gives d lambda = integral of strain · dC/dp · strain (Rayleigh); wood of volume dV
taken from a free face gives d lambda = −(stress·strain − lambda rho |u|²) dV (Hadamard). Answers come in cents,
since cents are what a maker hears.

Held by tests/modal/test_sensitivity.py against finite differences of full solves.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.drum.edge_wood import USUAL_MM
from kerftone.modal.in_mesh import in_mesh
from kerftone.modal.mechanics import PAIRS, flat_axes, stiffness, strain, wall_axes
from kerftone.modal.result import Array
from kerftone.modal.rounded import edges_of, taken
from kerftone.modal.solve import Solution
from kerftone.modal.space import Space
from kerftone.modal.threads import together
from kerftone.wood.elastic import CONSTANTS as CONSTANTS
from kerftone.wood.elastic import Elastic

CENTS_PER_LN = 1200.0 / math.log(2.0)
"""Cents in a natural logarithm of frequencies."""
STEP = 1e-4
"""Of a constant, as a share: small against its answer's curve, large against rounding."""
TOP, WALLS, BOTTOM = "frame|rim|tongue.*", ("wall x", "wall y"), "bottom"
Piece = tuple[str, Elastic, NDArray[np.floating[Any]]]


def wood_gradients(solution: Solution, numbers: Sequence[int]) -> dict[str, Array]:
    """How many cents each of these modes rises when a constant of a part's wood grows by its own size.

    By part ("top", "box", "bottom" if there is one), arrays (modes, constants) in the order of `CONSTANTS`:
    cents per unit of the natural logarithm of the constant. Their sum over all stiffnesses of all parts is
    866 cents, and minus that over all densities (pitch goes with the root of stiffness over density).
    """
    drum, top = solution.drum, solution.drum.top
    parts: dict[str, list[Piece]] = {
        "top": [(TOP, top.elastic, flat_axes(top.cut, top.grain_angle_deg, top.grain_dive_deg))],
        "box": [(name, drum.box.elastic, wall_axes(axis)) for axis, name in enumerate(WALLS)],
    }
    if drum.bottom is not None:
        parts["bottom"] = [(BOTTOM, drum.bottom.elastic, flat_axes(drum.bottom.cut))]
    works = [partial(_wood_row, solution, number, pieces) for pieces in parts.values() for number in numbers]
    rows = np.array(together(works)).reshape(len(parts), len(numbers), len(CONSTANTS))
    return dict(zip(parts, rows, strict=True))


def _wood_row(solution: Solution, number: int, pieces: list[Piece]) -> Array:
    field = field_of(solution.space, solution.shapes[number])
    mesh = solution.space.mesh
    row = np.zeros(len(CONSTANTS))
    for where, elastic, axes in pieces:
        region = mesh.Materials(where)
        moments = _strain_moments(field, region)
        row[:-1] += [np.sum(slope(elastic, axes, name) * moments) for name in CONSTANTS[:-1]]
        kinetic = ng.Integrate(ng.InnerProduct(field, field), region)
        row[-1] -= solution.fine_values[number] * elastic.density_kg_m3 * kinetic
    return np.asarray(row * CENTS_PER_LN / (2.0 * solution.fine_values[number]))


def _strain_moments(field: Any, region: Any) -> Array:
    """The integrals of strain a times strain b over a region (6, 6)."""
    e = strain(field)
    upper = [(a, b) for a in range(6) for b in range(a, 6)]
    # Compiled, the strains are found once at each point and not once in each of the 21 products: ten times as fast.
    values = ng.Integrate(ng.CF(tuple(e[a] * e[b] for a, b in upper)).Compile(), region, order=6)
    moments = np.zeros((len(PAIRS), len(PAIRS)))
    for (a, b), value in zip(upper, values, strict=True):
        moments[a, b] = moments[b, a] = value
    return moments


def slope(elastic: Elastic, axes: Array, name: str) -> Array:
    """p dC/dp of the stiffness in x, y, z (Pa), by central difference.

    Parameters
    ----------
    elastic : Elastic
        Its constants, in GPa and kg/m³.
    axes : Array
        L, R and T as rows.
    name : str
        Of the constant p, as in Elastic.
    """
    value = getattr(elastic, name)
    low, high = (replace(elastic, **{name: value * (1 + step)}) for step in (-STEP, STEP))
    return np.asarray((stiffness(high, axes) - stiffness(low, axes)) / (2 * STEP))


def field_of(space: Space, shape: Array) -> Any:
    """One mode as a field on its mesh."""
    field = ng.GridFunction(space.field)
    field.vec.FV().NumPy()[:] = shape
    return field


def round_over_cents(solution: Solution, numbers: Sequence[int]) -> Array:
    """How far each of these modes moves when the slots' edges are rounded over, in cents (n,).

    By the radius in the drum's file, which is then in its pitches already; without one by `USUAL_MM`. To first order.

    Parameters
    ----------
    solution : Solution
        The solved drum.
    numbers : Sequence[int]
        Which modes, from 0.
    """
    radius = solution.drum.slots.round_over_mm or USUAL_MM
    shapes, values = solution.shapes[list(numbers)], solution.fine_values[list(numbers)]
    stiff, mass = taken(solution.space, shapes, edges_of(solution.drum, radius))
    return np.asarray(CENTS_PER_LN / 2.0 * (np.diag(mass) - np.diag(stiff) / values))


def length_of(drum: Drum, number: int) -> float:
    """A tongue's length in mm, which must be known by now."""
    length = drum.tongues[number].length_mm
    assert length is not None
    return length


def bore_map(solution: Solution, number: int) -> Callable[[Array, Array], Array]:
    """The bore map of one mode: cents per cm³ of wood removed, at points of the underside.

    The answer takes x and y in mm, arrays of one shape, and gives an array of that shape: positive where
    boring raises the pitch (towards the tip), negative where it lowers it (towards the root). First order: a
    real bore near the root acts up to twice as strongly, so promise nothing from it. Points must lie in the
    wood inside the walls.
    """
    field = field_of(solution.space, solution.shapes[number])
    lift_mm = 1e-6 * solution.drum.top.thickness_mm
    return bore_density(solution.space, field, solution.fine_values[number], lift_mm=lift_mm)


def bore_density(
    space: Space, field: Any, value: float, *, lift_mm: float | Callable[[Array, Array], Array]
) -> Callable[[Array, Array], Array]:
    """The bore map of a field with eigenvalue `value`, read this high above the underside.

    A hair where nothing is bored; in a bore that is already there, a hair above its floor.

    Parameters
    ----------
    space : Space
        The mesh and its unknowns.
    field : Any
        The mode on that mesh, mass-normalised.
    value : float
        Its eigenvalue, in 1/s².
    lift_mm : float | Callable[[Array, Array], Array]
        How high above the underside it is read at x and y, in mm.
    """
    e = strain(field)
    density = ng.InnerProduct(space.c * e, e) - value * space.rho * ng.InnerProduct(field, field)
    density = density.Compile()  # as in `_strain_moments`
    per_cm3 = -1e-6 * CENTS_PER_LN / (2.0 * value)

    def at(x_mm: Array, y_mm: Array) -> Array:
        x, y = np.broadcast_arrays(np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float))
        high = lift_mm(x, y) if callable(lift_mm) else np.full(x.shape, lift_mm)
        found = in_mesh(space.mesh, 1e-3 * np.column_stack([x.ravel(), y.ravel(), high.ravel()]))
        return np.asarray(per_cm3 * density(found)).reshape(x.shape)

    return at
