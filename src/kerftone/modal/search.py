"""One frame, any tongues: what lengths sound these notes in these places, answered in milliseconds.

The frame (root strips, rails, walls, bottom) comes from one full solve, its matrices kept apart by part so that
each board's stiffness and density can be scaled; the tongues come from a table (`table.py`). Two questions are
answered. `read` gives the modes of the drum with given lengths, a dense eigenproblem. `sounding` asks the other
way round: at the frequency a tongue is to sound, the rest of the drum is condensed to what it does to that
tongue's fundamental own mode (its dynamic stiffness there), and what is left over says by how much the tongue's
own pitch must change. That way round no mode has to be recognised, and none can be mistaken for another's.

Lengths in mm, frequencies in Hz at the door; SI inside. Held by tests/modal/test_search.py against full solves.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import ngsolve as ng
import numpy as np
from scipy.linalg import eigh
from threadpoolctl import threadpool_limits

from kerftone.drum.design import Drum, EndShape, Path, Side
from kerftone.drum.ends import shortest_mm, turned_end
from kerftone.drum.plan_lines import layout
from kerftone.modal.frame import RIGID_HZ
from kerftone.modal.motions import by_part, frame_motions
from kerftone.modal.result import Array, Modes
from kerftone.modal.seats import SEAT_ARRAYS, Fitted, Seat, Sounding
from kerftone.modal.solid import MM
from kerftone.modal.solve import Solution
from kerftone.modal.table import RootFace, Table, between, main_lifts, make_table, root_face
from kerftone.modal.threads import solver_threads

Place = tuple[int, Side]
EDGE_SLACK_MM = 1e-3
"""Points of the mesh nearer than this to a line are on it: rounding."""
DEEPER = 1.5
"""A table that begins at the shortest tongue its end allows goes at least so many times as far. Own judgement."""
MASSLESS = 1e-7
"""Motions with less than this share of the heaviest one's mass are rounding."""


@dataclass(frozen=True, kw_only=True)
class Board:
    """Factors on the stiffness and the density of the top's, the box's and the bottom's wood, by these names."""

    stiffness: Mapping[str, float] = field(default_factory=dict)
    density: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class SearchModel:
    """A frame and a seat for a tongue at each place. stiffness, mass (m, m) of the frame by part; push (m,).

    top: how many times as stiff and as dense as in the seats' tables the tongues are.
    """

    drum: Drum
    stiffness: Mapping[str, Array]
    mass: Mapping[str, Array]
    push: Array
    seats: Mapping[Place, Seat]
    top: tuple[float, float] = (1.0, 1.0)

    def with_board(self, board: Board) -> SearchModel:
        """The same drum of other wood."""
        top = board.stiffness.get("top", 1.0), board.density.get("top", 1.0)
        return replace(
            self,
            stiffness={part: board.stiffness.get(part, 1.0) * k for part, k in self.stiffness.items()},
            mass={part: board.density.get(part, 1.0) * m for part, m in self.mass.items()},
            top=(top[0] * self.top[0], top[1] * self.top[1]),
        )

    def with_stiffer_frame(self, factor: float) -> SearchModel:
        """The same tongues on a frame so many times as stiff: the stiffer it is, the less they feel each other."""
        return replace(self, stiffness={part: factor * square for part, square in self.stiffness.items()})

    def reach_mm(self, place: Place) -> tuple[float, float]:
        """The shortest and the longest tongue of this place's table."""
        table = self.seats[place].table
        return table.low_mm, table.high_mm

    def fitted(self, places: Sequence[Place], lengths_mm: Sequence[float]) -> Fitted:
        """Tongues of these lengths in these places."""
        seats = [self.seats[place] for place in places]
        found = np.array(
            [np.array(seat.table.shares(mm)) @ seat.rows for seat, mm in zip(seats, lengths_mm, strict=True)]
        )
        shapes = [getattr(seats[0], name).shape[1:] for name in SEAT_ARRAYS]
        ends = np.cumsum([math.prod(shape) for shape in shapes])
        parts = np.split(found, ends[:-1], axis=2)
        stiffness, mass, coupling, own, strike, sweep = (
            part.reshape(len(seats), 2, *shape) for part, shape in zip(parts, shapes, strict=True)
        )
        values = np.exp(own[:, 0])
        at_hand = Fitted(
            stiffness=(stiffness[:, 0], stiffness[:, 1]),
            mass=(mass[:, 0], mass[:, 1]),
            coupling=(coupling[:, 0], coupling[:, 1]),
            own=(values, values * own[:, 1]),
            strike=strike[:, 0],
            sweep=sweep[:, 0],
        )
        return at_hand if self.top == (1.0, 1.0) else at_hand.of_wood(*self.top)

    def read(self, tongues: Fitted, top_hz: float) -> Modes:
        """The modes up to `top_hz` of the drum with these tongues; those of a drum at rest left out."""
        stiff, mass = self._whole(tongues)
        count, m, own = tongues.coupling[0].shape
        size = m + count * own
        k_all, m_all = np.zeros((size, size)), np.eye(size)
        k_all[:m, :m], m_all[:m, :m] = stiff, mass
        k_all[range(m, size), range(m, size)] = tongues.own[0].ravel()
        m_all[:m, m:] = tongues.coupling[0].transpose(1, 0, 2).reshape(m, -1)
        m_all[m:, :m] = m_all[:m, m:].T
        below, above = ((2 * math.pi * hz) ** 2 for hz in (RIGID_HZ, top_hz))
        values, shapes = _modes_between(k_all, m_all, below, above)
        frame, tips = shapes[:m], shapes[m:].reshape(count, own, -1)
        strike, sweep = (
            part[:, :m] @ frame + np.einsum("to,ton->tn", part[:, m:], tips)
            for part in (tongues.strike, tongues.sweep)
        )
        return Modes(
            hz=np.sqrt(values) / (2 * math.pi),
            strike=strike,
            sweep=sweep,
            volume=self.push @ frame + sweep.sum(axis=0),
            unknowns=size,
            seconds=0.0,
        )

    def _whole(self, tongues: Fitted) -> tuple[Array, Array]:
        """Stiffness and mass of the frame with the tongues riding on it stiffly."""
        stiff = sum(self.stiffness.values()) + tongues.stiffness[0].sum(axis=0)
        return np.asarray(stiff), np.asarray(sum(self.mass.values()) + tongues.mass[0].sum(axis=0))

    def sounding(self, tongues: Fitted, aims_hz: Sequence[float]) -> Sounding:
        """How far these tongues are from sounding these notes, one each, and what moves in each note.

        The drum without a tongue's fundamental own mode, at the frequency the tongue is to sound, is condensed to
        what it does to that mode. Exact where `excess` is 0: then the drum has a mode there.
        """
        stiff, mass = self._whole(tongues)
        aims = (2 * math.pi * np.asarray(aims_hz, dtype=float)) ** 2
        coupling, own = tongues.coupling[0], tongues.own[0]
        count, m = coupling.shape[:2]
        first = (np.arange(count), np.arange(count), 0)
        gap = own[None] - aims[:, None, None]
        weight = aims[:, None, None] ** 2 / gap
        weight[first] = 0.0
        columns = coupling.transpose(1, 0, 2).reshape(m, -1)
        rest = stiff - aims[:, None, None] * mass
        rest -= (columns * weight.reshape(count, 1, -1)) @ columns.T
        moved = _answers(rest, coupling[:, :, :1])[:, :, 0]
        # On each own mode (aim, tongue, own): the pull of the frame's motion.
        pull = (moved @ coupling).transpose(1, 0, 2)
        needed = aims + aims**2 * pull[first]
        ok = needed > 0.0
        excess = np.where(ok, np.log(own[:, 0] / np.where(ok, needed, 1.0)), np.inf)
        tips = weight * pull
        tips[first] = 1.0
        frame = aims[:, None] * moved
        along = aims[:, None, None] * pull
        modal = ((frame @ mass) * frame).sum(axis=1) + (tips**2 + 2 * tips * along).sum(axis=(1, 2))
        size = 1.0 / np.sqrt(modal)
        strike, sweep = (
            (part[:, :m] @ frame.T + np.einsum("jk,ijk->ji", part[:, m:], tips)) * size
            for part in (tongues.strike, tongues.sweep)
        )
        return Sounding(
            excess=excess,
            slope=_slope(tongues, aims, moved, (pull, gap, weight, needed)),
            strike=strike,
            sweep=sweep,
            share=1.0 / modal,
            moved=moved,
        )


def _modes_between(stiff: Array, mass: Array, below: float, above: float) -> tuple[Array, Array]:
    """Eigenvalues between two and their modes; motions that by rounding have no mass of their own are left out."""
    try:
        return eigh(stiff, mass, subset_by_value=(below, above))
    except np.linalg.LinAlgError:
        weight, axes = eigh(mass)
        keep = weight > MASSLESS * weight[-1]
        white = axes[:, keep] / np.sqrt(weight[keep])
        values, shapes = eigh(white.T @ stiff @ white, subset_by_value=(below, above))
        return values, white @ shapes


def _answers(matrices: Array, loads: Array) -> Array:
    """What each matrix answers to its load; the least answer where one is singular, at a mode of the rest itself."""
    try:
        return np.asarray(np.linalg.solve(matrices, loads))
    except np.linalg.LinAlgError:
        return np.array(
            [np.linalg.lstsq(m, load, rcond=None)[0] for m, load in zip(matrices, loads, strict=True)]
        )


def _slope(tongues: Fitted, aims: Array, moved: Array, parts: tuple[Array, Array, Array, Array]) -> Array:
    """How each tongue's excess changes with the logarithm of each length (aims, tongues)."""
    pull, gap, weight, needed = parts
    drift = (moved @ tongues.coupling[1]).transpose(1, 0, 2)
    rise = tongues.own[1]
    bend = ((moved @ tongues.stiffness[1]) * moved).sum(axis=2).T
    bend -= aims[:, None] * ((moved @ tongues.mass[1]) * moved).sum(axis=2).T
    bend -= 2.0 * (weight * pull * drift).sum(axis=2)
    bend += (weight * rise[None] / gap * pull**2).sum(axis=2)
    answer = -(aims**2)[:, None] * bend
    own = np.arange(len(aims))
    answer[own, own] += 2.0 * aims**2 * drift[own, own, 0]
    slope = -answer / needed[:, None]
    slope[own, own] += rise[:, 0] / tongues.own[0][:, 0]
    return np.asarray(slope)


def search_model(solution: Solution, reach_mm: tuple[float, float]) -> SearchModel:
    """The frame of a solved drum with tables of tongues between two lengths (mm) for each of its places.

    The places are those of the drum's tongues: an empty place's wood belongs to the frame.
    """
    drum = solution.drum
    with solver_threads(), threadpool_limits(1):
        whole = frame_motions(solution)
        motions = whole.motions
        stiffness, mass = by_part(solution, whole)
        push = motions @ (solution.push - solution.sweep.sum(axis=0))
        faces = _faces(solution)
        traces = {place: _trace(solution, motions, place, face) for place, face in faces.items()}
    lifts = main_lifts(list(traces.values()))
    tables = _tables(drum, faces, lifts, reach_mm, solution)
    roots = {place: trace @ lifts.T for place, trace in traces.items()}
    return _whitened(
        SearchModel(
            drum=drum,
            stiffness=stiffness,
            mass=mass,
            push=push,
            seats={place: _seat(tables[place], root) for place, root in roots.items()},
        )
    )


def _faces(solution: Solution) -> dict[Place, RootFace]:
    """The root face of every place, in the tongue's own axes: all are the same but for rounding, where no slot bows.

    Where one does, it meets the root line aslant, and the root is narrower by some hundredths of a millimetre: the
    marks are the same in number and share, so that motions of all faces can be compared.
    """
    drum, points = solution.drum, solution.plan.points_mm
    lines = layout(drum)
    tongue = drum.tongues[0]
    assert tongue.row is not None and tongue.side is not None
    x, (front, back) = lines.root_mm(tongue.side), lines.edges_mm(tongue.row)
    near = EDGE_SLACK_MM
    on = (abs(points[:, 0] - x) < near) & (points[:, 1] > front - near) & (points[:, 1] < back + near)
    centre = lines.centre_mm(tongue.row)
    first = root_face(
        float(points[on, 1].min()) - centre,
        float(points[on, 1].max()) - centre,
        solution.fineness.corner_kerfs * drum.slots.kerf_mm,
        thickness_mm=drum.top.thickness_mm,
        order=solution.fineness.order,
    )
    places: list[Place] = [(t.row, t.side) for t in drum.tongues if t.row is not None and t.side is not None]
    if not lines.bows_mm:
        return dict.fromkeys(places, first)
    found = {}
    for row, side in places:
        low, high = (edge - lines.centre_mm(row) for edge in lines.edges_mm(row))
        found[row, side] = first.between(low, high) if side == "left" else first.between(-high, -low)
    return found


def _trace(solution: Solution, motions: Array, place: Place, face: RootFace) -> Array:
    """What each frame motion does on the root face of a place, in the tongue's own axes (m, 3 × face unknowns)."""
    row, side = place
    lines, space = layout(solution.drum), solution.space
    way = 1.0 if side == "left" else -1.0
    y, z = face.points_mm.T
    at = space.mesh(np.full(len(y), lines.root_mm(side) * MM), (lines.centre_mm(row) + way * y) * MM, z * MM)
    turn = np.array([way, way, 1.0])
    field_ = ng.GridFunction(space.field)
    samples = np.empty((len(motions), 3, len(y)))
    for sample, motion in zip(samples, motions, strict=True):
        field_.vec.FV().NumPy()[:] = motion
        sample[:] = (field_(at) * turn).T
    return face.held(samples)


def _tables(
    drum: Drum, faces: dict[Place, RootFace], lifts: Array, reach_mm: tuple[float, float], solution: Solution
) -> dict[Place, Table]:
    """A table for each place: one where end and slots are the same, turned by half a turn on the right."""
    made: dict[tuple[EndShape | Path, tuple[float, ...]], Table] = {}
    found: dict[Place, Table] = {}
    for tongue in drum.tongues:
        if tongue.row is None or tongue.side is None:
            continue
        end, bows = drum.end_of(tongue), drum.slots.bow_mm[tongue.row - 1 : tongue.row + 1]
        if tongue.side == "right":
            # A path is drawn from front to back on both sides; seen from the other side it runs from back to front.
            end = end if isinstance(end, str) else turned_end(end)
            bows = tuple(0.0 - bow for bow in reversed(bows))
        if (end, bows) not in made:
            other = replace(drum, slots=replace(drum.slots, tongue_end=end))
            # A deep end needs a longer tongue than the shortest note would ask for.
            low = max(reach_mm[0], shortest_mm(end))
            reach = (low, reach_mm[1] if low == reach_mm[0] else max(reach_mm[1], DEEPER * low))
            face = faces[tongue.row, tongue.side]
            made[end, bows] = make_table(
                between(other, bows), face, lifts, reach_mm=reach, fineness=solution.fineness
            )
        found[tongue.row, tongue.side] = made[end, bows]
    return found


def _seat(table: Table, root: Array) -> Seat:
    """A table's tongues written in the frame's unknowns, of which `root` (m, r) says what they ask of the lifts."""
    lifts = root.shape[1]

    def turned(rows: Array) -> Array:
        return np.hstack([rows[:, :lifts] @ root.T, rows[:, lifts:]])

    return Seat(
        table=table,
        stiffness=root @ table.stiffness @ root.T,
        mass=root @ table.mass @ root.T,
        coupling=root @ table.coupling,
        own=table.own,
        strike=turned(table.strike),
        sweep=turned(table.sweep),
    )


def _whitened(model: SearchModel) -> SearchModel:
    """The same model in frame unknowns of unit mass (with middling tongues), those that are no motions left out."""
    middle = [seat.mass[len(seat.mass) // 2] for seat in model.seats.values()]
    mass = np.asarray(sum(model.mass.values()) + sum(middle))
    weight, axes = eigh(0.5 * (mass + mass.T))
    keep = weight > MASSLESS * weight[-1]
    turn = axes[:, keep] / np.sqrt(weight[keep])

    def both(square: Array) -> Array:
        found = turn.T @ square @ turn
        return np.asarray(0.5 * (found + np.swapaxes(found, -1, -2)))

    def moved(rows: Array, own: int) -> Array:
        m = rows.shape[1] - own
        return np.hstack([rows[:, :m] @ turn, rows[:, m:]])

    def seat(old: Seat) -> Seat:
        own = old.coupling.shape[2]
        return replace(
            old,
            stiffness=both(old.stiffness),
            mass=both(old.mass),
            coupling=turn.T @ old.coupling,
            strike=moved(old.strike, own),
            sweep=moved(old.sweep, own),
        )

    return replace(
        model,
        stiffness={part: both(square) for part, square in model.stiffness.items()},
        mass={part: both(square) for part, square in model.mass.items()},
        push=model.push @ turn,
        seats={place: seat(old) for place, old in model.seats.items()},
    )
