"""From a drum to its modes.

`solve` builds the solid, finds its lowest modes at two orders on one mesh and takes off most of what is left
of the error (see `eigen.py`). The live result keeps the spaces and the factorised stiffness, for
whoever needs more than numbers: sensitivities, bore maps, the frame-and-tongues model. `modes` gives only
numbers.

A box that stands free has six rigid motions at 0 Hz; they are left out.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import ngsolve as ng
import numpy as np

from kerftone.drum.check import check_outline
from kerftone.drum.design import TIP_WEIGHT_MM, Drum
from kerftone.drum.outline import outline, strike_point, tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.drum.seat import bottom_gap_mm, drop_mm, gap_mm, rise_mm
from kerftone.errors import KerftoneError
from kerftone.modal.band import build
from kerftone.modal.band_columns import PRESSED
from kerftone.modal.eigen import Array, extrapolate, lanczos, modes_of, refine
from kerftone.modal.mechanics import Stiffness, board_stiffness, stiffness, thickness_factor, wall_axes
from kerftone.modal.notes import enough_modes
from kerftone.modal.plan import Fineness, Plan, plan, tongue_region
from kerftone.modal.pressed import pressed_stiffness
from kerftone.modal.result import Modes
from kerftone.modal.rounded import edges_of, taken
from kerftone.modal.space import HELD, Inverse, Mass, Parts, Space, embedding
from kerftone.modal.threads import both, solver_threads
from kerftone.modal.view import top_view

COARSE = 2
"""The order of the first, rough solve, which the fine one starts from."""
ERROR_RATIO, LAYERED_RATIO = 5.0, 4.3
"""Order 2 errs this many times more than order 3, with one layer of prisms in the top, and with two, measured on the
reference drums: see docs/accuracy.md."""
OPEN_RATIO, LIPPED_RATIO = 3.7, 4.1
"""The same beside an open gap round the top, and where only the bottom has one: there errors fall more slowly. From
`benchmarks/orders.py`."""
SPARE = 6
"""Modes found beyond those asked for, so that the last ones asked for are sound too."""
FREE_SHIFT = (2 * math.pi * 80.0) ** 2
"""A free drum's stiffness is singular: the solver looks from this far below nought, the square of 80 Hz, where no
motion lies. Own judgement."""
MOST_UNKNOWNS = 600_000
"""Above this the factor would not fit a workshop computer's memory (about 6 GB)."""


@dataclass(frozen=True)
class Solution:
    """A solved drum, alive.

    shapes (n, unknowns): mass-normalised; forces: K + shift M times each. values (n,): (2 pi f)², extrapolated
    beyond order 3; fine_values: the same at order 3 itself. strike (t, unknowns): unit upward force on each tongue's
    strike point. sweep (t, unknowns): air pushed by each tongue's upper face; push (unknowns,): by the drum's whole
    outside.
    """

    drum: Drum
    plan: Plan
    space: Space
    shapes: Array
    forces: Array
    values: Array
    fine_values: Array
    strike: Array
    sweep: Array
    push: Array
    shift: float
    layered: bool
    fineness: Fineness
    inverse: Inverse
    mass: Mass
    seconds: float

    @property
    def hz(self) -> Array:
        """The frequencies of the modes."""
        return np.sqrt(np.maximum(self.values, 0.0)) / (2 * math.pi)

    def modes(self, count: int | None = None, *, view: bool = False) -> Modes:
        """The numbers alone; with `view`, shapes of the upper face for pictures too."""
        keep = slice(count)
        picture = top_view(self.space, self.plan, self.drum, self.shapes[keep]) if view else None
        return Modes(
            hz=self.hz[keep],
            strike=self.strike @ self.shapes[keep].T,
            sweep=self.sweep @ self.shapes[keep].T,
            volume=self.shapes[keep] @ self.push,
            view=picture,
            unknowns=self.space.unknowns,
            seconds=self.seconds,
        )


def modes(drum: Drum, count: int = 20, *, view: bool = False) -> Modes:
    """What this drum, as drawn, does when struck: its lowest `count` modes, rigid motions left out.

    At least two modes a tongue are found, whatever the count. Raises OutlineError when the drum cannot be
    sawn as drawn. Held by tests/modal/test_reference.py against an independent program.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    count : int, optional
        How many modes, rigid motions left out.
    view : bool, optional
        Whether the shape of the top is kept, for pictures.
    """
    return solve(drum, count).modes(view=view)


def materials(drum: Drum, plan_regions: tuple[str, ...]) -> Parts:
    """Stiffness and density of every part of the solid of this drum."""
    top = board_stiffness(drum.top, low_mm=0.0, grain_angle_deg=drum.top.grain_angle_deg)
    names = {name.removesuffix(", bored") for name in plan_regions} | {"rim"}
    parts: dict[str, Stiffness] = dict.fromkeys(names, top)
    density: dict[str, Any] = dict.fromkeys(
        names, drum.top.elastic.density_kg_m3 * thickness_factor(drum.top)
    )
    for axis, name in enumerate(("wall x", "wall y")):
        parts[name] = stiffness(drum.box.elastic, wall_axes(axis))
        density[name] = drum.box.elastic.density_kg_m3
    if drum.box.clamped:
        parts[PRESSED], density[PRESSED] = pressed_stiffness(), drum.box.elastic.density_kg_m3
    if drum.bottom is not None:
        low_mm = drop_mm(drum) - drum.box.height_mm + rise_mm(drum) - drum.bottom.thickness_mm
        parts["bottom"] = board_stiffness(drum.bottom, low_mm=low_mm)
        density["bottom"] = drum.bottom.elastic.density_kg_m3
    return Parts(parts, density)


def solve(
    drum: Drum, count: int = 20, *, fineness: Fineness | None = None, layered: bool | None = None
) -> Solution:
    """The lowest modes of a drum, alive: see `Solution`. Raises OutlineError and KerftoneError.

    `layered` meshes the top in two layers even where nothing is bored yet, so that bores can be tried on it.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    count : int, optional
        How many modes, rigid motions left out.
    fineness : Fineness, optional
        Sizes of elements and order of the polynomials; without it as usual.
    layered : bool, optional
        Whether the top is meshed in two layers; without it where something is bored or a gap beside the top is open.
    """
    check_outline(drum)
    began = time.perf_counter()
    in_layers = bool(drum.bores) or gap_mm(drum) > 0.0 if layered is None else layered
    with solver_threads():
        fineness = fineness or Fineness()
        cut = plan(drum, fineness)
        mesh = ng.Mesh(build(drum, cut, layered=in_layers))
        held = HELD if drum.box.stands == "held" else None
        parts = materials(drum, cut.regions)
        coarse = Space(mesh, parts, order=COARSE, held=held)
        fine = coarse if fineness.order == COARSE else Space(mesh, parts, order=fineness.order, held=held)
        _check_size(fine.unknowns)
        shift = 0.0 if held else FREE_SHIFT
        wanted = enough_modes(drum, count) + SPARE
        (coarse_values, lifted), inverse, mass = _together(coarse, fine, wanted, shift)
        found = refine(inverse, mass, lifted)
        ratio = error_ratio(drum, layered=in_layers)
        values, mix = extrapolate(found.values, coarse_values, found.modes @ found.loads.T, error_ratio=ratio)
        fine_values: Array = (mix**2).T @ found.values
        if any(tongue.weight_g for tongue in drum.tongues):
            lifts = mix.T @ found.modes @ weight_rows(fine, drum).T
            values, fine_values, turn = _weighted(values, fine_values, lifts, shift)
            mix = mix @ turn
        if drum.slots.round_over_mm:
            gone = taken(fine, mix.T @ found.modes, edges_of(drum, drum.slots.round_over_mm))
            values, fine_values, turn = _rounded(values, fine_values, gone, shift)
            mix = mix @ turn
        keep = slice(wanted - SPARE)
        return Solution(
            drum=drum,
            plan=cut,
            space=fine,
            shapes=mix.T[keep] @ found.modes,
            forces=mix.T[keep] @ found.forces,
            values=values[keep] - shift,
            fine_values=fine_values[keep] - shift,
            strike=strike_loads(fine, drum, range(len(drum.tongues))),
            sweep=sweep_loads(fine, range(len(drum.tongues))),
            push=_push(fine),
            shift=shift,
            inverse=inverse,
            layered=in_layers,
            fineness=fineness,
            mass=mass,
            seconds=time.perf_counter() - began,
        )


def error_ratio(drum: Drum, *, layered: bool) -> float:
    """How many times more order 2 errs than order 3 on this drum's mesh.

    Parameters
    ----------
    drum : Drum
        The drum.
    layered : bool
        Whether its top is meshed in two layers.
    """
    if gap_mm(drum) > 0.0:
        return OPEN_RATIO
    if bottom_gap_mm(drum) > 0.0:
        return LIPPED_RATIO
    return LAYERED_RATIO if layered else ERROR_RATIO


def _together(
    coarse: Space, fine: Space, wanted: int, shift: float
) -> tuple[tuple[Array, Array], Inverse, Mass]:
    """The modes of order 2, lifted to the fine order, while the fine order's matrix is factorised."""
    if fine is coarse:
        answers = _factorised(fine, shift)
        return _coarse_modes(fine, wanted, shift, answers), *answers

    def rough() -> tuple[Array, Array]:
        values, guesses = _coarse_modes(coarse, wanted, shift, _factorised(coarse, shift))
        ours, theirs = embedding(coarse, fine)
        lifted = np.zeros((wanted, 3, fine.scalar.ndof))
        lifted[:, :, theirs] = guesses.reshape(wanted, 3, -1)[:, :, ours]
        return values, lifted.reshape(wanted, -1)

    modes, (inverse, mass) = both(rough, lambda: _factorised(fine, shift))
    return modes, inverse, mass


def _factorised(space: Space, shift: float) -> tuple[Inverse, Mass]:
    return space.blocks(shift).inverse(), Mass(space.mass())


def _check_size(unknowns: int) -> None:
    if unknowns > MOST_UNKNOWNS:
        raise KerftoneError(
            f"This drum needs {unknowns} unknowns. The solver stops at {MOST_UNKNOWNS} to stay within an "
            "ordinary computer's memory: use fewer tongues or bores, or a coarser path for the tongue ends.",
            given=unknowns,
            limit=MOST_UNKNOWNS,
        )


def _coarse_modes(
    space: Space, count: int, shift: float, answers: tuple[Inverse, Mass]
) -> tuple[Array, Array]:
    """The modes at order 2: eigenvalues of K + shift M, and shapes.

    Parameters
    ----------
    space : Space
        The unknowns.
    count : int
        How many modes.
    shift : float
        As in K + shift M.
    answers : tuple[Inverse, Mass]
        The inverse of that, and M.
    """
    inverse, mass = answers
    start = np.random.default_rng(0).standard_normal(space.unknowns) * space.free()
    clean: Callable[[Array], Array] = inverse
    if shift:
        rigid = _orthonormal(space.rigid(), mass)
        weighted = mass(rigid)

        def clean(load: Array) -> Array:
            moved = inverse(load)
            return moved - (weighted @ moved) @ rigid

    return lanczos(clean, mass, start, count=count)


def _orthonormal(vectors: Array, mass: Mass) -> Array:
    """The same span, orthonormal in the mass inner product."""
    gram = vectors @ mass(vectors).T
    return np.linalg.solve(np.linalg.cholesky(gram), vectors)


def _weighted(values: Array, fine_values: Array, lifts: Array, shift: float) -> tuple[Array, Array, Array]:
    """The modes once small weights are fixed on: new values (with the shift), the same at order 3, the mix of modes.

    `lifts` (n, w): the lift of each weight's place in each mode times the root of its mass. The drum without weights
    moves only in the modes found, which is plenty for some grams on a tongue.
    """
    loaded, mix = modes_of(np.diag(values - shift), np.eye(len(values)) + lifts @ lifts.T)
    ratio = loaded / (values - shift)
    return loaded + shift, (fine_values - shift) * ratio + shift, mix


def _rounded(
    values: Array, fine_values: Array, gone: tuple[Array, Array], shift: float
) -> tuple[Array, Array, Array]:
    """The modes once the slots' edges are rounded over, as in `_weighted`; `gone` as in `rounded.taken`."""
    stiff, mass = gone
    now, mix = modes_of(np.diag(values - shift) - stiff, np.eye(len(values)) - mass)
    return now + shift, (fine_values - shift) * now / (values - shift) + shift, mix


def weight_rows(space: Space, drum: Drum, numbers: Iterable[int] | None = None) -> Array:
    """One row for each of these tongues (all, if not said): lift of its weight's place, times √kg.

    Parameters
    ----------
    space : Space
        The unknowns of the mesh.
    drum : Drum
        Whose tongues may carry weights, in g.
    numbers : Iterable[int], optional
        Which tongues, from 0; without it all.
    """
    lines = layout(drum)
    chosen = range(len(drum.tongues)) if numbers is None else numbers
    rows = []
    for tongue in (drum.tongues[number] for number in chosen):
        shape = tongue_polygon(drum, tongue, lines)
        place = strike_point(drum, tongue, shape, lines, from_tip_mm=TIP_WEIGHT_MM)
        rows.append(math.sqrt(tongue.weight_g * 1e-3) * _lift_loads(space, drum, [place])[0])
    return np.array(rows)


def strike_loads(space: Space, drum: Drum, numbers: Iterable[int]) -> Array:
    """One row a tongue: a unit upward force on its strike point, for each unknown (t, unknowns).

    Parameters
    ----------
    space : Space
        The unknowns of the mesh.
    drum : Drum
        Whose tongues are struck.
    numbers : Iterable[int]
        Which tongues, from 0.
    """
    points = outline(drum).strike_points
    return _lift_loads(space, drum, [points[number] for number in numbers])


def _lift_loads(space: Space, drum: Drum, points: Iterable[tuple[float, float]]) -> Array:
    """One row a point of the upper face (mm): a unit upward force there, for each unknown."""
    v = space.field.TestFunction()
    rows = []
    for x, y in points:
        load = ng.LinearForm(space.field)
        load += v[2](x * 1e-3, y * 1e-3, (drum.top.thickness_mm - 1e-3) * 1e-3)
        rows.append(np.array(load.Assemble().vec.FV().NumPy()))
    return np.array(rows)


def lifts_at(solution: Solution, points_mm: Iterable[tuple[float, float]]) -> Array:
    """How far each mode lifts the upper face at these places (p, n), kg^-1/2. Each must lie on wood."""
    return np.asarray(_lift_loads(solution.space, solution.drum, points_mm) @ solution.shapes.T)


def sweep_loads(space: Space, numbers: Iterable[int]) -> Array:
    """One row a tongue: how much air its upper face pushes for each unknown, m² per unit (t, unknowns)."""
    v = space.field.TestFunction()
    rows = []
    for number in numbers:
        load = ng.LinearForm(space.field)
        load += v[2] * ng.ds(f"upper, {tongue_region(number)}")
        rows.append(np.array(load.Assemble().vec.FV().NumPy()))
    return np.array(rows)


def _push(space: Space) -> Array:
    """How much air each unknown pushes out from the drum's outside, m² per unit."""
    v = space.field.TestFunction()
    load = ng.LinearForm(space.field)
    outward = {"upper.*": v[2], "front": -v[1], "back": v[1], "left": -v[0], "right": v[0]}
    for name, motion in outward.items():
        load += motion * ng.ds(name)
    if "bottom" in space.parts.density:
        load += -v[2] * ng.ds("base|below")
    return np.array(load.Assemble().vec.FV().NumPy())
