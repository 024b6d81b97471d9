"""One tongue on its own: a small solid clamped at its root, as a part to build a drum from.

A tongue moves as its root carries it (static lifts of the root's motion) plus a few modes of its own with
the root held still (Craig and Bampton 1968, from memory). It is meshed alone, a few thousand unknowns, with
the same marks on its root line as the whole drum has, so the motion of the two faces is the same list of
numbers and nothing is interpolated.

Lengths in mm at the door, SI inside. `frame.py` puts the parts together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag
from threadpoolctl import threadpool_limits

from kerftone.drum.design import Drum
from kerftone.drum.outline import STRIKE_MM, strike_point, tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.modal.eigen import lanczos
from kerftone.modal.in_mesh import in_mesh
from kerftone.modal.mechanics import Graded, board_stiffness, strain
from kerftone.modal.plan import Fineness, Plan, floor_at, plan_tongue
from kerftone.modal.result import Array
from kerftone.modal.rounded import edges_of, taken
from kerftone.modal.sensitivity import length_of
from kerftone.modal.solid import Cells, raise_top
from kerftone.modal.solve import materials, strike_loads, sweep_loads, weight_rows
from kerftone.modal.space import Mass, Space

OWN_MODES, SPARE_STEPS = 8, 10
"""Modes of its own that a tongue keeps, and how many more steps of Lanczos find them: those of a clamped tongue lie
so far apart that more change nothing in a shift's hundredths of a cent."""
LIFT_TOLERANCE = 1e-4
"""Root motions weaker than this share of the strongest are left out."""
NEAR_M = 1e-6
"""Points nearer than this to a face are on it: rounding."""
PROBE_LIFT_MM = 0.01
"""Just inside the wood, so that the point is in an element."""
PROBE_SHARE = 0.8
"""How far along a tongue, from its root, is the place where a trial shaving is thought taken from under it."""


@dataclass(frozen=True, kw_only=True)
class Root:
    """Where a tongue begins: the marks on its root line (y, mm), and what the frame can do there.

    motions (frame motions, 3 × scalar unknowns of the root face), in the order of `root_unknowns`.
    """

    marks_mm: Array
    motions: Array

    @cached_property
    def main(self) -> tuple[Array, Array]:
        """The few motions that all these are made of; found once for all tongues that are tried at this root."""
        with threadpool_limits(1):  # waiting threads would cost more than they bring
            return _main_motions(self.motions)


@dataclass(frozen=True, kw_only=True)
class Live:
    """The solid a tongue model was reduced from. basis (r + own modes, unknowns)."""

    space: Space
    basis: Array


@dataclass(frozen=True, kw_only=True)
class TongueModel:
    """A tongue in few unknowns: r motions of its root, then its own modes.

    root (r, motions of the frame): how much of each lift a frame motion asks for. stiffness, mass
    (r + own modes, square): the reduced matrices. strike, sweep: the force on the strike point and the air
    pushed, in the same unknowns. probe (9, same): at the place of a trial shaving, six numbers whose squares add up
    to twice the strain energy there, and three to the density times the square of the motion. `live` is None
    for one that was kept: see Frame.made.
    """

    root: Array
    stiffness: Array
    mass: Array
    strike: Array
    sweep: Array
    probe: Array
    live: Live | None = None

    @property
    def own(self) -> int:
        """How many modes of its own it has."""
        return len(self.stiffness) - len(self.root)


def root_unknowns(space: Space, x_m: float, y_m: tuple[float, float]) -> NDArray[np.intp]:
    """The scalar unknowns on the face x = x_m between two y, by kind and then by place.

    Parameters
    ----------
    space : Space
        The mesh and its unknowns.
    x_m : float
        Of the face, in m.
    y_m : tuple[float, float]
        From where to where on it, in m.
    """
    places = space.corners_m
    on = (abs(places[:, 0] - x_m) < NEAR_M) & (places[:, 2] > -NEAR_M)
    on &= (places[:, 1] > y_m[0] - NEAR_M) & (places[:, 1] < y_m[1] + NEAR_M)
    rank = {int(number): index for index, number in enumerate(np.flatnonzero(on))}
    found: list[int] = []
    for number in rank:
        found.extend(space.scalar.GetDofNrs(ng.NodeId(ng.VERTEX, number)))
    for kind, sides in zip((ng.EDGE, ng.FACE), space.sides, strict=True):
        keyed = sorted(
            (sorted(rank[vertex] for vertex in side), number)
            for number, side in enumerate(sides)
            if all(vertex in rank for vertex in side)
        )
        for _, number in keyed:
            found.extend(space.scalar.GetDofNrs(ng.NodeId(kind, number)))
    return np.array(found, dtype=np.intp)


def mesh_tongue(drum: Drum, cut: Plan, *, layered: bool, order: int) -> Space:
    """The tongue alone, of the fine order, free: the root is held by whoever uses it.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    cut : Plan
        The tongue cut into triangles.
    layered : bool
        Whether the top has two layers of elements, as where it is bored.
    order : int
        Of the elements.
    """
    cells = Cells()
    raise_top(cells, cut, thickness_mm=drum.top.thickness_mm, layered=layered)
    return Space(ng.Mesh(cells.mesh()), materials(drum, cut.regions), order=order, held=None)


def tongue_model(drum: Drum, number: int, root: Root, *, fineness: Fineness, layered: bool) -> TongueModel:
    """This tongue as it is in `drum`, reduced to the root motions that the frame can make.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    root : Root
        Where it begins, and what the frame can do there.
    fineness : Fineness
        How fine the mesh is, and the order of its elements.
    layered : bool
        Whether the top has two layers of elements, as where it is bored.
    """
    scale, rows = root.main
    few = replace(root, motions=rows)
    made = reduced_tongue(drum, number, few, fineness=fineness, layered=layered)
    assert made.live is not None
    probe = _probe(made.live.space, drum, number, made.live.basis, rim_sides=fineness.rim_sides)
    return replace(made, root=scale, probe=probe)


def reduced_tongue(
    drum: Drum,
    number: int,
    root: Root,
    *,
    fineness: Fineness,
    layered: bool = False,
    own_modes: int = OWN_MODES,
) -> TongueModel:
    """This tongue reduced to these motions of its root and some own modes.

    Its `root` is the motions themselves and its `probe` is empty.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    root : Root
        The marks on its root line, and the motions (r, 3 × unknowns of the root face).
    fineness : Fineness
        How fine the mesh is, and the order of its elements.
    layered : bool, optional
        Whether the top has two layers of elements, as where it is bored.
    own_modes : int, optional
        How many modes of its own it keeps.
    """
    rows = root.motions
    cut = plan_tongue(drum, number, root.marks_mm, fineness)
    space = mesh_tongue(drum, cut, layered=layered, order=fineness.order)
    tongue = drum.tongues[number]
    assert tongue.side is not None and tongue.row is not None
    lines = layout(drum)
    front, back = lines.edges_mm(tongue.row)
    held = root_unknowns(space, lines.root_mm(tongue.side) * 1e-3, (front * 1e-3, back * 1e-3))
    assert 3 * len(held) == rows.shape[1], "the root is meshed otherwise than in the frame"
    steps = _motions(space, held, rows)
    stiff, mass = space.blocks(), Mass(space.mass())
    free = ng.BitArray(space.scalar.ndof)
    free.Set()
    for unknown in held:
        free.Clear(int(unknown))
    inverse = stiff.inverse(free)
    forces = stiff.times(steps)
    answers = inverse(forces)
    start = np.random.default_rng(0).standard_normal(space.unknowns)
    values, own = lanczos(inverse, mass, inverse(mass(start)), count=own_modes, steps=own_modes + SPARE_STEPS)
    basis = np.concatenate([steps - answers, own])
    # Static lifts and clamped modes do not meet in the stiffness: the one is in balance, the other held.
    lifted = steps @ forces.T - answers @ forces.T
    weight = basis @ weight_rows(space, drum, [number]).T
    stiffness, inertia = block_diag(0.5 * (lifted + lifted.T), np.diag(values)), _reduced(basis, mass(basis))
    if drum.slots.round_over_mm:
        stiff_gone, mass_gone = taken(space, basis, edges_of(drum, drum.slots.round_over_mm, number))
        stiffness, inertia = stiffness - stiff_gone, inertia - mass_gone
    return TongueModel(
        root=np.eye(len(rows)),
        stiffness=stiffness,
        mass=inertia + weight @ weight.T,
        strike=basis @ strike_loads(space, drum, [number])[0],
        sweep=basis @ sweep_loads(space, [number])[0],
        probe=np.zeros((9, 0)),
        live=Live(space=space, basis=basis),
    )


def _probe(space: Space, drum: Drum, number: int, basis: Array, *, rim_sides: int) -> Array:
    """Strain and motion just above the underside at the place of the trial shaving: see TongueModel."""
    x, y = _probe_spot(drum, number)
    floor = float(floor_at(np.array([[x, y]]), drum.bores, rim_sides)[0])
    place = in_mesh(space.mesh, 1e-3 * np.array([[x, y, floor + PROBE_LIFT_MM]]))
    field = ng.GridFunction(space.field)
    local = ng.CF((strain(field), field))
    found = np.empty((9, len(basis)))
    for column, motion in enumerate(basis):
        field.vec.FV().NumPy()[:] = motion
        found[:, column] = local(place)[0]
    elastic = board_stiffness(drum.top, low_mm=0.0, grain_angle_deg=drum.top.grain_angle_deg)
    if isinstance(elastic, Graded):
        elastic = elastic.at(floor / drum.top.thickness_mm)
    root = np.linalg.cholesky(elastic).T
    return np.vstack([root @ found[:6], math.sqrt(drum.top.elastic.density_kg_m3) * found[6:]])


def _probe_spot(drum: Drum, number: int) -> tuple[float, float]:
    """The place of the trial shaving: so far along, but never beyond a notch in the end."""
    tongue, lines = drum.tongues[number], layout(drum)
    x, y = strike_point(drum, tongue, tongue_polygon(drum, tongue, lines), lines)
    struck, _ = lines.place_mm(tongue, x, y)
    usual = PROBE_SHARE * length_of(drum, number)
    # The blow falls 15 mm from where the centre line leaves the wood, or half way to there.
    return lines.spot_mm(tongue, usual if usual < struck + 0.5 * min(STRIKE_MM, struck) else struck)


def _main_motions(traces: Array) -> tuple[Array, Array]:
    """The few motions that all the traces are made of: (r, traces) shares, and (r, root unknowns) motions."""
    left, strength, right = np.linalg.svd(traces.T, full_matrices=False)
    keep = strength > LIFT_TOLERANCE * strength[0]
    return strength[keep, None] * right[keep], left[:, keep].T


def _motions(space: Space, held: NDArray[np.intp], rows: Array) -> Array:
    fields = np.zeros((len(rows), 3, space.scalar.ndof))
    fields[:, :, held] = rows.reshape(len(rows), 3, -1)
    return fields.reshape(len(rows), -1)


def _reduced(basis: Array, images: Array) -> Array:
    square = basis @ images.T
    return np.asarray(0.5 * (square + square.T))
