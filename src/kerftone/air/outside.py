"""The air outside: what presses on the drum when its surface moves, and the sound sent out.

The displacement of a surface into the air, sigma, makes the potential F with p = -rho omega² F; G = exp(ikr)/(4 pi
r). On the surface F/2 - D F = S sigma (S: the integral of G, D: of its slope along the normal there), collocated at
the middles of panels. Static parts are exact over each panel, what depends on frequency is smooth and taken at
middles. Where the air inside the box could resonate with F = 0 on its walls, that leaves F open; inside, F is nil,
and saying so at a few places there too settles it (Schenck 1968, from memory): least squares.

On the upper face the panel's own plane gives 2 S sigma (a baffled source) and nothing by D: so slots, much finer
than panels, are taken as baffled exactly (`rectangles.py`), and the panels only bring what the free box does
otherwise. The part of F in quadrature, which carries energy off, is taken from the far field, so that no more and
no less is lost than is radiated.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.rectangles import between_cells, potential
from kerftone.air.shell import Shell

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
RINGS = 12
"""Directions of the far field: so many heights, twice as many round. Exact to the 23rd spherical harmonic."""
# The mirrors: see below.
SIGNS = ((1, 1), (-1, 1), (1, -1), (-1, -1))
CHARACTERS = ((1, 1, 1, 1), (1, -1, 1, -1), (1, 1, -1, -1), (1, -1, -1, 1))
"""The brick's mirrors in x, in y and in both, and how its four kinds of motion turn under them."""
CORNERS = ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1))
"""Four corners of a cube that are those of a square whichever way one looks: the points of a panel of any face."""
GAUSS = 3.0**-0.5
"""Of half a side from the middle: the two-point Gauss rule, standard."""
MIRROR = np.array([1.0, 1.0, -1.0])
WITHIN = ((0.31, 0.43, 0.37), (0.57, 0.29, 0.71), (0.83, 0.61, 0.53), (0.43, 0.77, 0.62), (0.71, 0.53, 0.29))
"""Places inside, as shares of half the box along and across and of its height, off the planes where its resonances
are nil: so many tell apart what resonates up to 3 kHz."""


@dataclass(frozen=True)
class Outside:
    """The air round a shell whose upper face is a grid of cells too (`xs`, `ys`, its lines, m).

    Fields are for volume displacements (m³) of cells of the upper face, and of the other panels.
    """

    shell: Shell
    xs: Array
    ys: Array

    @cached_property
    def cells_m2(self) -> Array:
        """The area of each cell (cells,)."""
        return np.outer(np.diff(self.xs), np.diff(self.ys)).ravel()

    @cached_property
    def onto(self) -> Array:
        """Which share of each cell lies on each panel of the upper face (panels above, cells)."""
        return np.kron(*(overlap(*lines) for lines in zip(self.shell.lines, (self.xs, self.ys), strict=True)))

    @cached_property
    def baffled(self) -> Array:
        """The potential of each cell in an endless plane at rest, for a unit volume from each (cells, cells), 1/m."""
        count = len(self.cells_m2)
        whole = between_cells(self.xs, self.ys).reshape(count, count)
        return np.asarray(whole / (2.0 * np.pi * np.outer(self.cells_m2, self.cells_m2)))

    @cached_property
    def _mean(self) -> Array:
        """The mean over each panel of what is known of each cell (panels above, cells)."""
        return self.onto * self.cells_m2 / self.shell.area[self.shell.above][:, None]

    @cached_property
    def _fine(self) -> tuple[Array, Array, Array]:
        """At rest: S and D of the other panels at the cells (cells, others), and S of the cells at those and inside
        (others + 4 i, cells)."""
        shell, beside = self.shell, ~self.shell.above
        mids = [0.5 * (lines[1:] + lines[:-1]) for lines in (self.xs, self.ys)]
        halves = [0.5 * np.diff(lines) for lines in (self.xs, self.ys)]
        x, y = (part.ravel() for part in np.meshgrid(*mids, indexing="ij"))
        hx, hy = (part.ravel() for part in np.meshgrid(*halves, indexing="ij"))
        level = shell.middles[shell.above][0, 2]
        cells = np.column_stack([x, y, np.full(len(x), level)])
        at_cells = _fields(cells, shell.middles[beside], shell.halves[beside], shell.normals[beside])
        flat, up = np.column_stack([hx, hy, np.zeros(len(x))]), np.tile((0.0, 0.0, 1.0), (len(x), 1))
        beyond = np.concatenate([shell.middles[beside], self._within.reshape(-1, 3)])
        at_others, _ = _fields(beyond, cells, flat, up)
        return (*at_cells, at_others)

    @cached_property
    def _turns(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """The brick's own symmetry: the panels of one quarter, and which panel each turns into by the two mirrors
        (4, p)."""
        middles = self.shell.middles
        centre = 0.5 * (middles.min(axis=0) + middles.max(axis=0))
        rounded = np.round((middles - centre) * 1e7).astype(np.int64)
        place = {
            tuple(key): number
            for number, key in enumerate(np.column_stack([rounded, self.shell.face]).tolist())
        }
        turned = []
        for sx, sy in SIGNS:
            other = rounded * (sx, sy, 1)
            face = np.where((self.shell.face < 2) & (sx < 0), 1 - self.shell.face, self.shell.face)
            face = np.where((face >= 2) & (face < 4) & (sy < 0), 5 - face, face)
            turned.append([place[tuple(key)] for key in np.column_stack([other, face]).tolist()])
        quarter = np.flatnonzero((rounded[:, 0] < 0) & (rounded[:, 1] < 0))
        return quarter, np.array(turned)

    @cached_property
    def _within(self) -> Array:
        """Places inside the box, each with its mirror images (4, i, 3), m."""
        low, high = self.shell.middles.min(axis=0), self.shell.middles.max(axis=0)
        half, centre = 0.5 * (high - low), 0.5 * (high + low)
        shares = np.array(WITHIN)
        level = low[2] + shares[:, 2] * (high[2] - low[2])
        return np.array(
            [np.column_stack([centre[:2] - shares[:, :2] * half[:2] * signs, level]) for signs in SIGNS]
        )

    @cached_property
    def _static(self) -> list[tuple[Array, Array, Array, Array]]:
        """For the shell and its mirror image, at the panels of one quarter and inside it: distance, its slope along
        the source's normal, S, D at rest. The direct S of the upper face is left out: the cells have it exactly."""
        shell, (quarter, _) = self.shell, self._turns
        places = np.concatenate([shell.middles[quarter], self._within[0]])
        halves = np.concatenate([shell.halves[quarter], np.zeros_like(self._within[0])])
        found = []
        for middles, normals in self._sources():
            away = places[:, None, :] - middles[None, :, :]
            r = np.sqrt((away**2).sum(axis=2))
            slope = -(away * normals[None, :, :]).sum(axis=2) / np.where(r > 0.0, r, 1.0)
            single, double = np.zeros_like(r), np.zeros_like(r)
            for corner in CORNERS:
                at = places + np.array(corner) * GAUSS * halves
                s, d = _fields(at, middles, shell.halves, normals)
                single, double = single + s / len(CORNERS), double + d / len(CORNERS)
            found.append((r, slope, single, double))
        found[0][2][:, shell.above] = 0.0
        return found

    def _sources(self) -> list[tuple[Array, Array]]:
        """The panels, and their images in the table."""
        shell = self.shell
        whole = [(shell.middles, shell.normals)]
        if shell.mirror_m is not None:
            raised = shell.middles * MIRROR + np.array([0.0, 0.0, 2.0 * shell.mirror_m])
            whole.append((raised, shell.normals * MIRROR))
        return whole

    def matrices(self, k: float) -> tuple[Complex, Complex]:
        """S and D at this wave number: of a unit density over each panel, at the panels of one quarter and inside."""
        area = self.shell.area
        size = self._static[0][0].shape
        single, double = np.zeros(size, dtype=complex), np.zeros(size, dtype=complex)
        for r, slope, s, d in self._static:
            near = np.where(r > 0.0, r, 1.0)
            turn = np.exp(1j * k * r)
            moving = np.where(r > 0.0, (turn - 1.0) / near, 1j * k)
            bent = np.where(r > 0.0, ((1j * k * r - 1.0) * turn + 1.0) / near**2, 0.0)
            single = single + s + moving * (area / (4.0 * np.pi))
            double = double + d + bent * slope * (area / (4.0 * np.pi))
        return single, double

    def flat(self, on: Array) -> Array:
        """What panels of one plane say of each other at rest: the potential at one for a unit flow out of another
        (flows, flows), 1/m, as a baffle gives it. `on` (panels, flows): how each flow is spread."""
        shell, some = self.shell, on.any(axis=1)
        middles, halves, normals = (part[some] for part in (shell.middles, shell.halves, shell.normals))
        corners = [
            _fields(middles + np.array(c) * GAUSS * halves, middles, halves, normals)[0] for c in CORNERS
        ]
        single = 2.0 * sum(corners) / len(CORNERS)
        found = on[some].T @ single @ (on[some] / shell.area[some][:, None])
        return np.asarray(0.5 * (found + found.T))

    def solved(self, k: float, cells: Array, panels: Array) -> tuple[Complex, Complex]:
        """The potential at each panel, and at each cell less the baffled one at rest.

        Parameters
        ----------
        k : float
            The wave number, in 1/m.
        cells : Array
            Volumes through the upper face of the cells, (cells, sources).
        panels : Array
            Volumes through the other panels, (panels, sources); nil on the upper face.
        """
        above, (quarter, turned) = self.shell.above, self._turns
        single, double = self.matrices(k)
        density = (panels + self._spread(cells)) / self.shell.area[:, None]
        load = np.zeros_like(density)
        beside = int((~above).sum())
        load[~above], inside = np.split(self._fine[2] @ (cells / self.cells_m2[:, None]), [beside])
        inside = inside.reshape(len(SIGNS), -1, cells.shape[1])
        flat = self._mean @ (self.baffled @ cells)
        load[above] = 0.5 * flat
        found = np.zeros(density.shape, dtype=complex)
        for signs in CHARACTERS:
            own_single, own_double = (
                sum(sign * matrix[:, turned[g][quarter]] for g, sign in enumerate(signs))
                for matrix in (single, double)
            )
            own_density, own_load = (
                0.25 * sum(sign * part[turned[g][quarter]] for g, sign in enumerate(signs))
                for part in (density, load)
            )
            own_inside = 0.25 * sum(sign * part for sign, part in zip(signs, inside, strict=True))
            right = own_single @ own_density + np.concatenate([own_load, own_inside])
            left = 0.5 * np.eye(len(single), len(quarter)) - own_double
            q, r = np.linalg.qr(np.asarray(left, dtype=np.complex128))
            own = np.linalg.solve(r, q.conj().T @ right)
            for g, sign in enumerate(signs):
                found[turned[g][quarter]] += sign * own
        exact = 2.0 * (self._fine[1] @ found[~above] + self._fine[0] @ density[~above])
        smooth = found[above] - flat - self._mean @ exact
        return found, np.asarray(exact + self.onto.T @ smooth)

    def _spread(self, cells: Array) -> Array:
        """Volumes of cells as volumes of panels."""
        whole = np.zeros((len(self.shell.middles), cells.shape[1]))
        whole[self.shell.above] = self.onto @ cells
        return whole

    def far(self, k: float, cells: Array, panels: Array, potentials: Complex) -> tuple[Complex, Array]:
        """The far field f (directions, sources), p = -rho omega² f exp(ikr)/r, and the weights of the directions
        (sr).

        Parameters
        ----------
        k : float
            The wave number, in 1/m.
        cells : Array
            Volumes through the upper face of the cells, (cells, sources).
        panels : Array
            Volumes through the other panels, (panels, sources).
        potentials : Complex
            At each panel, (panels, sources), as `solved` gives them.
        """
        ways, weights = self._ways()
        volumes = panels + self._spread(cells)
        total = np.zeros((len(ways), volumes.shape[1]), dtype=complex)
        for middles, normals in self._sources():
            phase = np.exp(-1j * k * ways @ middles.T) / (4.0 * np.pi)
            total += phase @ volumes - (1j * k * (ways @ normals.T) * phase * self.shell.area) @ potentials
        return total, weights

    def at(self, k: float, place: Array, volumes: tuple[Array, Array], potentials: Complex) -> Complex:
        """The potential at a place off the drum (sources,), 1/m of a unit volume: by Kirchhoff's integral over the
        panels.

        Parameters
        ----------
        k : float
            The wave number, in 1/m.
        place : Array
            (3,), in m, further from the drum than a panel is long.
        volumes : tuple[Array, Array]
            Through the cells of the upper face (cells, sources) and the other panels (panels, sources).
        potentials : Complex
            At each panel, (panels, sources), as `solved` gives them.
        """
        whole = volumes[1] + self._spread(volumes[0])
        total = np.zeros(whole.shape[1], dtype=complex)
        for middles, normals in self._sources():
            away = place - middles
            r = np.sqrt((away**2).sum(axis=1))
            field = np.exp(1j * k * r) / (4.0 * np.pi * r)
            slope = field * (1.0 / r - 1j * k) * (away * normals).sum(axis=1) / r
            total += field @ whole + (slope * self.shell.area) @ potentials
        return total

    def _ways(self) -> tuple[Array, Array]:
        heights, weights = np.polynomial.legendre.leggauss(RINGS)
        if self.shell.mirror_m is not None:
            heights, weights = 0.5 * (heights + 1.0), 0.5 * weights
        round_ = 2.0 * np.pi * (np.arange(2 * RINGS) + 0.5) / (2 * RINGS)
        flat = np.sqrt(1.0 - heights**2)
        ways = [
            np.outer(flat, np.cos(round_)),
            np.outer(flat, np.sin(round_)),
            np.outer(heights, np.ones_like(round_)),
        ]
        each = np.outer(weights, np.full(2 * RINGS, np.pi / RINGS))
        return np.stack([way.ravel() for way in ways], axis=1), each.ravel()


def square_form(fields: Complex, weights: Array) -> Array:
    """The integral of f f* over all directions, its real part (sources, sources)."""
    return np.asarray(np.real((fields.conj() * weights[:, None]).T @ fields))


def overlap(panels: Array, cells: Array) -> Array:
    """Which share of each interval between `cells` lies in each between `panels`."""
    low = np.maximum(panels[:-1, None], cells[None, :-1])
    high = np.minimum(panels[1:, None], cells[None, 1:])
    return np.asarray(np.maximum(high - low, 0.0) / np.diff(cells))


def _fields(points: Array, middles: Array, halves: Array, normals: Array) -> tuple[Array, Array]:
    """S and D at rest, at these points, of a unit density over each of these rectangles (points, rectangles)."""
    away = points[:, None, :] - middles[None, :, :]
    single, double = np.empty(away.shape[:2]), np.empty(away.shape[:2])
    for axis in range(3):
        on = normals[:, axis] != 0.0
        u, v = (k for k in range(3) if k != axis)
        half = halves[None, on, u], halves[None, on, v]
        s, d = potential(away[:, on, u], away[:, on, v], away[:, on, axis], half)
        single[:, on], double[:, on] = s, d * normals[on, axis]
    return single / (4.0 * np.pi), double / (4.0 * np.pi)
