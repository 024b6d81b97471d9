"""The drum as a frame that stays and tongues that change: pitches again in a tenth of a second.

Only the tongues are ever sawn or bored; root strips, rails, walls and bottom stay. One full solve gives
the frame its motions: the drum's modes as far as the frame takes part in them, and what the frame does
under a handful of loads on each tongue, so that it can also follow tongues it has not seen. With each
tongue reduced to a few dozen numbers (`tongue.py`) the assembled drum is a dense problem of some two
hundred unknowns.

What the assembled model says of a change is trusted, not its absolute pitches: those are scaled, mode by
mode, to the full solve it came from. Anything promised is confirmed by a full solve. Held together by
tests/modal/test_frame.py. A tongue alone in its row has the end of its kerf in the frame: when its length
changes much, the frame is a little out of date until the next full solve.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.linalg import eigh
from shapely.geometry import Point
from threadpoolctl import threadpool_limits

from kerftone.drum.design import Bore, Drum, Side
from kerftone.drum.outline import tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.modal.crew import side_by_side
from kerftone.modal.layers import in_order_two, in_two_layers
from kerftone.modal.motions import TONGUE_PARTS, frame_motions, reduced_part
from kerftone.modal.notes import weights
from kerftone.modal.plan import Fineness, floor_at
from kerftone.modal.result import Array, Modes
from kerftone.modal.rounded import FRAME, edges_of, taken
from kerftone.modal.sensitivity import bore_density, field_of
from kerftone.modal.solve import Solution
from kerftone.modal.threads import solver_threads
from kerftone.modal.tongue import Root, TongueModel, root_unknowns, tongue_model

INDEPENDENT = 1e-9
"""Motions of the assembled drum with less than this share of the strongest one's mass are not new ones."""
RIGID_HZ = 5.0
"""Lower is a motion of the whole drum on its feet, far under any tongue."""
RIM_SLACK_MM = 0.5
"""A bore so near a tongue is meshed into it; own judgement."""


Place = tuple[int | None, Side | None]


@dataclass(frozen=True, kw_only=True)
class Frame:
    """The part of a drum that stays: reduced matrices, the air it pushes, its motions at every place's root.

    `made`: the tongues made so far, by the names of `own_wood`, their solids left out; None where a tongue seldom
    comes again and none is kept. A bench asks for the same tongues over and over.
    """

    drum: Drum
    stiffness: Array
    mass: Array
    push: Array
    roots: Mapping[Place, Root]
    fineness: Fineness
    layered: bool
    made: dict[str, TongueModel] | None = field(default=None, repr=False, compare=False)

    def tongue(self, drum: Drum, number: int) -> TongueModel:
        """One tongue as it is in `drum`, a drum that differs from this frame's only in its tongues.

        One that was made before comes without its solid.
        """
        if self.made is None:
            return self.fresh_tongue(drum, number)
        name = own_wood(drum, number)
        if name not in self.made:
            self.made[name] = self._bare_tongue(drum, number)
        return self.made[name]

    def fresh_tongue(self, drum: Drum, number: int) -> TongueModel:
        """The same with its solid.

        On one thread: a tongue is too small to share out, and waiting threads cost more than they bring.
        """
        root = self.roots[_place(drum, number)]
        return tongue_model(drum, number, root, fineness=self.fineness, layered=self.layered)

    def tongues(self, drum: Drum) -> tuple[TongueModel, ...]:
        """All tongues as they are in such a drum; those to be kept are made side by side."""
        self.prepare([drum])
        return tuple(self.tongue(drum, number) for number in range(len(drum.tongues)))

    def prepare(self, drums: Iterable[Drum], numbers: Sequence[int] | None = None) -> None:
        """Make all tongues of such drums that are to be kept and were not made before, side by side.

        Only those of these numbers, if any are given.
        """
        if self.made is None:
            return
        missing: dict[str, tuple[Drum, int]] = {}
        for drum in drums:
            for number in range(len(drum.tongues)) if numbers is None else numbers:
                name = own_wood(drum, number)
                if name not in self.made:
                    missing.setdefault(name, (drum, number))
        make = replace(self, made=None)._piece
        self.made.update(zip(missing, side_by_side(make, list(missing.values())), strict=True))

    def _piece(self, wanted: tuple[Drum, int]) -> TongueModel:
        return self._bare_tongue(*wanted)

    def _bare_tongue(self, drum: Drum, number: int) -> TongueModel:
        return replace(self.fresh_tongue(drum, number), live=None)

    def coarser(self) -> Frame:
        """The same frame for tongues of order 2, which take a quarter of the time. None of them is kept.

        For comparing two shapes of a tongue: wood taken near its tip does the same within a hundredth, near its
        root a tenth less.
        """
        layers, order = 2 if self.layered else 1, self.fineness.order
        roots = {place: in_order_two(root, layers=layers, order=order) for place, root in self.roots.items()}
        return replace(self, roots=roots, fineness=replace(self.fineness, order=2), made=None)


@dataclass(frozen=True, kw_only=True)
class Assembly:
    """A frame with a model of every tongue: its modes, and how they answer to the tongues' lengths.

    `scale` (t,) is the ratio of the full solve's eigenvalue to the assembly's for each tongue's own note, in
    the drum the frame came from. `stiffer` (t,): each tongue's own factor of stiffness, 1 for wood as given.
    """

    drum: Drum
    frame: Frame
    tongues: tuple[TongueModel, ...]
    values: Array
    shapes: Array
    scale: Array
    stiffer: tuple[float, ...] = ()

    def with_drum(self, drum: Drum) -> Assembly:
        """The same frame with the tongues of `drum`; only those that differ are made again."""
        if drum == self.drum:
            return self
        made = tuple(
            old if _same_tongue(self.drum, drum, number) else self.frame.tongue(drum, number)
            for number, old in enumerate(self.tongues)
        )
        return replace(self, drum=drum, tongues=made)._solved()

    def coarser(self, number: int) -> Assembly:
        """The same drum with this tongue, and what it is changed to, of order 2: see Frame.coarser."""
        frame = self.frame.coarser()
        tongues = list(self.tongues)
        tongues[number] = frame.tongue(self.drum, number)
        return replace(self, frame=frame, tongues=tuple(tongues))._solved()

    def with_stiffer(self, factors: Sequence[float]) -> Assembly:
        """The same drum with the wood of each tongue so many times as stiff."""
        return replace(self, stiffer=tuple(factors))._solved()

    def _solved(self) -> Assembly:
        factors = self.stiffer or (1.0,) * len(self.tongues)
        wood = [
            tongue if factor == 1.0 else replace(tongue, stiffness=factor * tongue.stiffness)
            for tongue, factor in zip(self.tongues, factors, strict=True)
        ]
        values, shapes = _solve(self.frame, wood)
        return replace(self, values=values, shapes=shapes)

    def modes(self, count: int | None = None) -> Modes:
        """The modes as numbers, scaled to the full solve."""
        keep = slice(count)
        parts = [self._of(number)[keep] for number in range(len(self.tongues))]
        strike = np.array([part @ t.strike for part, t in zip(parts, self.tongues, strict=True)])
        sweep = np.array([part @ t.sweep for part, t in zip(parts, self.tongues, strict=True)])
        moves = (strike * sweep) ** 2
        scale = self.scale @ (moves / np.maximum(moves.sum(axis=0), 1e-300))
        return Modes(
            hz=np.sqrt(self.values[keep] * scale) / (2 * math.pi),
            strike=strike,
            sweep=sweep,
            volume=self.shapes[keep, : len(self.frame.push)] @ self.frame.push + sweep.sum(axis=0),
            unknowns=self.shapes.shape[1],
            seconds=0.0,
        )

    def part(self, number: int) -> Array:
        """What one tongue does in each mode, in its own unknowns (n, r + own modes)."""
        return self._of(number)

    def _of(self, number: int) -> Array:
        """What one tongue does in each mode, in its own unknowns (n, r + own modes)."""
        base = len(self.frame.stiffness)
        begins = base + sum(t.own for t in self.tongues[:number])
        tongue = self.tongues[number]
        carried = self.shapes[:, :base] @ tongue.root.T
        return np.hstack([carried, self.shapes[:, begins : begins + tongue.own]])

    def bore_maps(self, number: int, *modes: int) -> list[Callable[[Array, Array], Array]]:
        """Cents per cm³ of wood bored from under this tongue, for each of these modes: see `sensitivity.bore_map`.

        Points must lie under the tongue; in a bore that is there, wood is taken from its floor. On the tongue's
        own solid, so no full solve is needed.
        """
        live = self.tongues[number].live or self.frame.fresh_tongue(self.drum, number).live
        assert live is not None, "a tongue fresh from its solid"
        space = live.space
        bores, hair = own_bores(self.drum, number), 1e-6 * self.drum.top.thickness_mm

        def floor(x: Array, y: Array) -> Array:
            points = np.column_stack([x.ravel(), y.ravel()])
            return hair + floor_at(points, bores, self.frame.fineness.rim_sides).reshape(x.shape)

        return [
            bore_density(
                space,
                field_of(space, self._of(number)[mode] @ live.basis),
                self.values[mode],
                lift_mm=floor,
            )
            for mode in modes
        ]

    def shaved(self, number: int, modes: Sequence[int]) -> Array:
        """How far each of these modes rises when a shaving is taken from under this tongue near its tip.

        In no unit, but comparable among modes and all tongues: see TongueModel.probe.
        """
        chosen = list(modes)
        local = self.tongues[number].probe @ self._of(number)[chosen].T
        energy, motion = (local[:6] ** 2).sum(axis=0), (local[6:] ** 2).sum(axis=0)
        return np.asarray(motion - energy / self.values[chosen])


def _place(drum: Drum, number: int) -> Place:
    return drum.tongues[number].row, drum.tongues[number].side


def _same_tongue(one: Drum, other: Drum, number: int) -> bool:
    """Whether a tongue's wood is the same in both drums."""
    same = _place(one, number) == _place(other, number) and one.slots == other.slots
    same &= one.tongues[number] == other.tongues[number]
    return same and own_bores(one, number) == own_bores(other, number)


def own_bores(drum: Drum, number: int) -> frozenset[Bore]:
    """The bores that take wood from this tongue."""
    tongue = tongue_polygon(drum, drum.tongues[number], layout(drum))
    return frozenset(
        bore
        for bore in drum.bores
        if tongue.distance(Point(bore.x_mm, bore.y_mm)) < 0.5 * bore.diameter_mm + RIM_SLACK_MM
    )


def own_wood(drum: Drum, number: int) -> str:
    """A short name for the wood of this tongue, another for any other shape of it in the same frame."""
    bores = sorted(map(repr, own_bores(drum, number)))
    return hashlib.sha256(f"{drum.tongues[number]!r} {bores}".encode()).hexdigest()[:24]


def assemble(
    solution: Solution, *, layered: bool = False, made: dict[str, TongueModel] | None = None
) -> Assembly:
    """The frame-and-tongues model of a solved drum; `layered` as in `frame_of`, `made` as in Frame.

    Parameters
    ----------
    solution : Solution
        The solved drum.
    layered : bool, optional
        Whether its tongues are to be bored: see `frame_of`.
    made : dict[str, TongueModel] | None, optional
        The tongues made so far: see Frame.
    """
    model = assemble_frame(
        replace(frame_of(solution, layered=layered), made=made), np.ones(len(solution.drum.tongues))
    )
    most = np.argmax(weights(solution.modes()), axis=1)
    return replace(model, scale=solution.values[most] / model.values[most])


def assemble_frame(frame: Frame, scale: Array) -> Assembly:
    """A frame with the tongues of its own drum; `scale` as in Assembly, known from its full solve."""
    tongues = frame.tongues(frame.drum)
    values, shapes = _solve(frame, tongues)
    return Assembly(drum=frame.drum, frame=frame, tongues=tongues, values=values, shapes=shapes, scale=scale)


def frame_of(solution: Solution, *, layered: bool = False) -> Frame:
    """The frame of a solved drum, with enough motions to follow any change of its tongues.

    `layered`: its tongues are to be bored, so they have two layers even where the drum was solved with one.
    """
    drum, space = solution.drum, solution.space
    with solver_threads(), threadpool_limits(1):
        whole = frame_motions(solution)
        motions = whole.motions
        stiffness, mass = reduced_part(space, TONGUE_PARTS, motions)
        if drum.slots.round_over_mm:
            gone = taken(space, motions, edges_of(drum, drum.slots.round_over_mm, FRAME))
            stiffness, mass = stiffness + gone[0], mass + gone[1]
    return Frame(
        drum=drum,
        stiffness=whole.stiffness - stiffness,
        mass=whole.mass - mass,
        push=motions @ (solution.push - solution.sweep.sum(axis=0)),
        roots=_roots(solution, motions, turned=layered and not solution.layered),
        fineness=solution.fineness,
        layered=layered or solution.layered,
    )


def _roots(solution: Solution, motions: Array, *, turned: bool) -> dict[Place, Root]:
    """The frame's motions on each root face, and the marks on each root line; `turned` into two layers."""
    lines, points = layout(solution.drum), solution.plan.points_mm
    found = {}
    for number, tongue in enumerate(solution.drum.tongues):
        assert tongue.side is not None and tongue.row is not None
        x, (front, back) = lines.root_mm(tongue.side), lines.edges_mm(tongue.row)
        on = (abs(points[:, 0] - x) < 1e-3) & (points[:, 1] > front - 1e-3) & (points[:, 1] < back + 1e-3)
        face = root_unknowns(solution.space, x * 1e-3, (front * 1e-3, back * 1e-3))
        motion = motions.reshape(len(motions), 3, -1)[:, :, face].reshape(len(motions), -1)
        root = Root(marks_mm=np.unique(points[on, 1]), motions=motion)
        if turned:
            thickness, order = solution.drum.top.thickness_mm, solution.fineness.order
            root = in_two_layers(root, thickness_mm=thickness, order=order)
        found[_place(solution.drum, number)] = root
    return found


def _solve(frame: Frame, tongues: Sequence[TongueModel]) -> tuple[Array, Array]:
    """The assembled drum's modes: eigenvalues without the rigid ones, and shapes in all its unknowns."""
    base = len(frame.stiffness)
    size = base + sum(tongue.own for tongue in tongues)
    stiff, mass = np.zeros((size, size)), np.zeros((size, size))
    stiff[:base, :base], mass[:base, :base] = frame.stiffness, frame.mass
    begins = base
    for tongue in tongues:
        own, lifts = tongue.own, len(tongue.root)
        spread = np.zeros((lifts + own, size))
        spread[:lifts, :base] = tongue.root
        spread[lifts:, begins : begins + own] = np.eye(own)
        stiff += spread.T @ tongue.stiffness @ spread
        mass += spread.T @ tongue.mass @ spread
        begins += own
    weight, axes = eigh(0.5 * (mass + mass.T))
    keep = weight > INDEPENDENT * weight[-1]
    white = axes[:, keep] / np.sqrt(weight[keep])
    values, shapes = eigh(white.T @ (0.5 * (stiff + stiff.T)) @ white)
    lasting = values > (2 * math.pi * RIGID_HZ) ** 2
    return values[lasting], (white @ shapes[:, lasting]).T
