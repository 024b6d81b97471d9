"""A tongue's model for every length at once.

Between two lengths a reduced tongue changes smoothly. So it is made at a few lengths, the Chebyshev nodes of
the logarithm of length, and interpolated between them: after some tenths of a second a length costs
microseconds. All tongues of a drum between straight slots are of one width and one wood, so one table serves every
place; where slots bow, there is one for each two slots that tongues lie between. What the frame does at a root is
written in the tongue's own axes (x from the root to the tip, y across from the centre line; a tongue from the right
is one from the left turned by half a turn), on one face meshed once for all.

Own modes (fixed-interface modes) cross as the length changes; they are matched from node to node by frequency and
by their inertial coupling to the root. Wood as drawn, without bores. Lengths in mm at the door, SI inside.
Held by tests/modal/test_table.py against tongues made afresh.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise

import ngsolve as ng
import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag
from scipy.optimize import linear_sum_assignment

from kerftone.drum.design import Drum, Tongue
from kerftone.drum.plan_lines import layout
from kerftone.modal.crew import side_by_side
from kerftone.modal.plan import Fineness
from kerftone.modal.result import Array
from kerftone.modal.solid import MM, Cells
from kerftone.modal.space import Parts, Space
from kerftone.modal.tongue import OWN_MODES, Root, TongueModel, reduced_tongue, root_unknowns

SPARE_MODES = 3
"""Own modes found beyond those kept, so that a kept one that rises among the others is not lost."""
NODES, NODES_PER_OCTAVE = 5, 2.0
"""Nodes of a table of one length, and how many more for each doubling: six over 0.75 to 1.3 times a length give every
note within a hundredth of a cent."""
FACE_GROWTH = 2.6
"""Each cell is so many times as wide as the one before: errors are at the corners. Own judgement, held by
tests/modal/test_table.py."""
LIFT_TOLERANCE = 1e-4
"""Root motions weaker than this share of the strongest are left out."""
BEYOND_TIP_KERFS = 10.0
"""So much of the board a tongue made for a table has beyond its tip at least: room for the cut round it."""
DEEP_MM = 1.0
"""Any depth does: only the face is looked at."""
MATCH_BY_PITCH = 1.0
"""How much an own mode that is a factor of e off in frequency counts against likeness of shape; own judgement."""


@dataclass(frozen=True, kw_only=True)
class RootFace:
    """The root face that all tongues of a drum share, meshed once, in the tongue's own axes.

    marks_mm: from the centre line, rising. points_mm (p, 2): y and z at which motions are read, with
    quadrature weights (p,). Motions are held as (3 × scalar unknowns of the face).
    """

    marks_mm: tuple[float, ...]
    thickness_mm: float
    order: int

    @cached_property
    def points_mm(self) -> Array:
        """Where a motion is read."""
        return _gauss(self.marks_mm, self.thickness_mm, self.order)[0]

    def between(self, low_mm: float, high_mm: float) -> RootFace:
        """A face with as many marks in the same shares from one edge to the other.

        Parameters
        ----------
        low_mm : float
            The front edge from the centre line, in mm.
        high_mm : float
            The back edge from the centre line, in mm.
        """
        marks = np.array(self.marks_mm)
        spread = low_mm + (marks - marks[0]) * (high_mm - low_mm) / (marks[-1] - marks[0])
        return replace(self, marks_mm=tuple(round(float(mark), 9) for mark in spread))

    def held(self, samples: Array) -> Array:
        """Motions (m, 3, p) read at the points, as the face's unknowns (m, 3 × unknowns), by least squares."""
        fields = samples @ _projection(self.marks_mm, self.thickness_mm, self.order).T
        return np.asarray(fields.reshape(len(samples), -1))


def root_face(
    low_mm: float, high_mm: float, corner_mm: float, *, thickness_mm: float, order: int
) -> RootFace:
    """A root face from one edge to the other (from the centre line), cells growing from each corner.

    Parameters
    ----------
    low_mm : float
        The front edge from the centre line, in mm.
    high_mm : float
        The back edge from the centre line, in mm.
    corner_mm : float
        The size of the cells at the corners, in mm.
    thickness_mm : float
        Of the top, in mm.
    order : int
        Of the elements.
    """
    half = 0.5 * (high_mm - low_mm)
    reaches, step = [0.0], 1.2 * corner_mm
    while reaches[-1] + 1.6 * step < half:
        reaches.append(reaches[-1] + step)
        step *= FACE_GROWTH
    marks = [low_mm + reach for reach in reaches] + [high_mm - reach for reach in reversed(reaches)]
    if reaches[-1] < 0.55 * half:
        marks.insert(len(reaches), 0.5 * (low_mm + high_mm))
    return RootFace(marks_mm=tuple(round(m, 9) for m in marks), thickness_mm=thickness_mm, order=order)


def _gauss(marks_mm: tuple[float, ...], thickness_mm: float, order: int) -> tuple[Array, Array]:
    nodes, weights = np.polynomial.legendre.leggauss(order + 1)
    shares, weights = 0.5 + 0.5 * nodes, 0.5 * weights
    ys = np.concatenate([a + shares * (b - a) for a, b in pairwise(marks_mm)])
    wy = np.concatenate([weights * (b - a) for a, b in pairwise(marks_mm)])
    zs, wz = shares * thickness_mm, weights * thickness_mm
    grid_y, grid_z = np.meshgrid(ys, zs)
    return np.column_stack([grid_y.ravel(), grid_z.ravel()]), np.outer(wz, wy).ravel()


@lru_cache(maxsize=32)
def _projection(marks_mm: tuple[float, ...], thickness_mm: float, order: int) -> Array:
    """From values at the points to the face's scalar unknowns: weighted least squares (unknowns, points)."""
    cells = Cells()
    for front, back in pairwise(marks_mm):
        corners = [(0.0, front), (DEEP_MM, front), (DEEP_MM, back), (0.0, back)]
        low, high = [[(x, y, z) for x, y in corners] for z in (0.0, thickness_mm)]
        cells.raise_column("wood", low, high)
    space = Space(ng.Mesh(cells.mesh()), Parts({"wood": np.eye(6)}, {"wood": 1.0}), order=order, held=None)
    points, weight = _gauss(marks_mm, thickness_mm, order)
    at = space.mesh(np.zeros(len(points)), points[:, 0] * MM, points[:, 1] * MM)
    unknowns = root_unknowns(space, 0.0, (marks_mm[0] * MM, marks_mm[-1] * MM))
    values = np.empty((len(points), len(unknowns)))
    function = ng.GridFunction(space.scalar)
    for column, unknown in enumerate(unknowns):
        function.vec[:] = 0.0
        function.vec[int(unknown)] = 1.0
        values[:, column] = function(at)[:, 0]
    root = np.sqrt(weight)[:, None]
    return np.asarray(np.linalg.pinv(root * values) * root.T)


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A tongue of one length: what the frame of a place makes of its lifts is not in it yet.

    stiffness, mass (r, r) of the lifts; coupling (r, own): their mass with the own modes; own (own,): eigenvalues of
    the own modes; strike, sweep (r + own,).
    """

    stiffness: Array
    mass: Array
    coupling: Array
    own: Array
    strike: Array
    sweep: Array


@dataclass(frozen=True, kw_only=True)
class Table:
    """Tongues of one cross-section for every length between two, mm.

    lifts (r, 3 × face unknowns): orthonormal root motions; the other arrays are Piece's with the nodes in front,
    `own` as logarithms.
    """

    face: RootFace
    lifts: Array
    nodes: Array
    low_mm: float
    high_mm: float
    stiffness: Array
    mass: Array
    coupling: Array
    own: Array
    strike: Array
    sweep: Array

    def shares(self, length_mm: float) -> tuple[Array, Array]:
        """How much each node counts at this length, and how that changes per unit of the logarithm (k,)."""
        centre, half = self._scale
        at = (math.log(length_mm) - centre) / half
        powers = at ** np.arange(len(self.nodes))
        slopes = np.arange(len(self.nodes)) * np.concatenate([[0.0], powers[:-1]])
        return self._polynomials @ powers, self._polynomials @ slopes / half

    @cached_property
    def _polynomials(self) -> Array:
        """The coefficients of the polynomials that are 1 at one node and 0 at the others."""
        return np.asarray(np.linalg.inv(np.vander(self.nodes, increasing=True)).T)

    @property
    def _scale(self) -> tuple[float, float]:
        low, high = math.log(self.low_mm), math.log(self.high_mm)
        return 0.5 * (low + high), 0.5 * (high - low)

    def piece(self, length_mm: float) -> Piece:
        """The tongue at this length."""
        share, _ = self.shares(length_mm)
        return Piece(
            stiffness=np.tensordot(share, self.stiffness, 1),
            mass=np.tensordot(share, self.mass, 1),
            coupling=np.tensordot(share, self.coupling, 1),
            own=np.exp(share @ self.own),
            strike=share @ self.strike,
            sweep=share @ self.sweep,
        )

    def model(self, length_mm: float, root: Array) -> TongueModel:
        """The same as a part of a drum whose frame asks `root` (r, frame motions) of the lifts."""
        piece = self.piece(length_mm)
        mass = np.block([[piece.mass, piece.coupling], [piece.coupling.T, np.eye(len(piece.own))]])
        return TongueModel(
            root=root,
            stiffness=block_diag(piece.stiffness, np.diag(piece.own)),
            mass=mass,
            strike=piece.strike,
            sweep=piece.sweep,
            probe=np.zeros((9, len(mass))),
        )


def main_lifts(traces: Sequence[Array]) -> Array:
    """The few orthonormal motions that all these traces (m, 3 × unknowns) are made of."""
    _, strength, right = np.linalg.svd(np.concatenate(list(traces)), full_matrices=False)
    return np.asarray(right[strength > LIFT_TOLERANCE * strength[0]])


def make_table(
    drum: Drum, face: RootFace, lifts: Array, *, reach_mm: tuple[float, float], fineness: Fineness
) -> Table:
    """Tongues of this drum's rows, of every length between two; the nodes are made side by side.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    face : RootFace
        The face that all its tongues have at the root.
    lifts : Array
        The motions of that face, (r, 3 × unknowns).
    reach_mm : tuple[float, float]
        The shortest and the longest tongue, in mm.
    fineness : Fineness
        How fine the mesh is, and the order of its elements.
    """
    low, high = within_row(drum, reach_mm) if drum.slots.bow_mm else reach_mm
    count = NODES + math.ceil(NODES_PER_OCTAVE * math.log2(high / low))
    nodes = np.cos(np.pi * (np.arange(count) + 0.5) / count)[::-1]
    centre, half = 0.5 * math.log(low * high), 0.5 * math.log(high / low)
    work = _Node(drum=drum, face=face, lifts=lifts, fineness=fineness)
    pieces = _matched(side_by_side(work, [float(mm) for mm in np.exp(centre + half * nodes)]))
    return Table(
        face=face,
        lifts=lifts,
        nodes=nodes,
        low_mm=low,
        high_mm=high,
        stiffness=np.array([p.stiffness for p in pieces]),
        mass=np.array([p.mass for p in pieces]),
        coupling=np.array([p.coupling for p in pieces]),
        own=np.log([p.own for p in pieces]),
        strike=np.array([p.strike for p in pieces]),
        sweep=np.array([p.sweep for p in pieces]),
    )


@dataclass(frozen=True, kw_only=True)
class _Node:
    """How a tongue of one length is made; goes to other processes."""

    drum: Drum
    face: RootFace
    lifts: Array
    fineness: Fineness

    def __call__(self, length_mm: float) -> Piece:
        blank = blank_for(self.drum, length_mm)
        lines = layout(blank)
        made = reduced_tongue(
            blank,
            0,
            Root(marks_mm=lines.centre_mm(lines.rows) + np.array(self.face.marks_mm), motions=self.lifts),
            fineness=self.fineness,
            own_modes=OWN_MODES + SPARE_MODES,
        )
        r = len(self.lifts)
        return Piece(
            stiffness=made.stiffness[:r, :r],
            mass=made.mass[:r, :r],
            coupling=made.mass[:r, r:],
            own=np.diag(made.stiffness)[r:],
            strike=made.strike,
            sweep=made.sweep,
        )


def between(drum: Drum, bows_mm: tuple[float, ...]) -> Drum:
    """The same drum with the two slots beside its last row as they are beside some other: see `blank_for`.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    bows_mm : tuple[float, ...]
        How far the two bow, as seen from a left tongue; none where all slots are straight.
    """
    rows = max(tongue.row or 1 for tongue in drum.tongues)
    bows = (*(0.0,) * (rows - 1), *bows_mm) if any(bows_mm) else ()
    return replace(drum, slots=replace(drum.slots, bow_mm=bows))


def within_row(drum: Drum, reach_mm: tuple[float, float]) -> tuple[float, float]:
    """Lengths for which there is a slot: one that bows is drawn from root line to root line and no further.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    reach_mm : tuple[float, float]
        The shortest and the longest that is asked for, in mm.
    """
    longest = layout(drum).span_mm - BEYOND_TIP_KERFS * drum.slots.kerf_mm
    return min(reach_mm[0], 0.5 * longest), min(reach_mm[1], longest)


def blank_for(drum: Drum, length_mm: float) -> Drum:
    """A drum with the same rows and one plain tongue of this length, from the left, on a board that takes it."""
    rows = max(tongue.row or 1 for tongue in drum.tongues)
    needed = length_mm + 2 * drum.slots.end_margin_mm + BEYOND_TIP_KERFS * drum.slots.kerf_mm
    return replace(
        drum,
        top=replace(drum.top, length_mm=max(drum.top.length_mm, needed)),
        tongues=(Tongue(note=drum.tongues[0].note, row=rows, side="left", length_mm=length_mm),),
        bores=(),
    )


def _matched(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with their own modes in one order and of one sign from node to node, the spare ones left out.

    Lengths rise, so the last piece has the lowest modes; the order begins there.
    """
    found = [pieces[-1]]
    for piece in reversed(pieces[:-1]):
        found.append(_ordered(piece, like=found[-1]))
    kept = np.argsort(np.min([p.own for p in found], axis=0))[:OWN_MODES]
    return [_picked(piece, kept, np.ones(len(kept))) for piece in reversed(found)]


def _ordered(piece: Piece, *, like: Piece) -> Piece:
    """This piece's own modes, each where the one most like it stands in the neighbouring piece."""
    sizes = np.outer(np.linalg.norm(like.coupling, axis=0), np.linalg.norm(piece.coupling, axis=0))
    cosine = like.coupling.T @ piece.coupling / np.maximum(sizes, 1e-300)
    steps = np.log(piece.own)[None, :] - np.log(like.own)[:, None]
    usual = np.median(np.diag(steps))
    _, chosen = linear_sum_assignment(-abs(cosine) + MATCH_BY_PITCH * abs(steps - usual))
    return _picked(piece, chosen, np.sign(cosine[np.arange(len(chosen)), chosen]))


def _picked(piece: Piece, chosen: NDArray[np.intp], signs: Array) -> Piece:
    lifts = len(piece.stiffness)
    strike, sweep = (
        np.concatenate([whole[:lifts], signs * whole[lifts:][chosen]])
        for whole in (piece.strike, piece.sweep)
    )
    return replace(
        piece, coupling=signs * piece.coupling[:, chosen], own=piece.own[chosen], strike=strike, sweep=sweep
    )
