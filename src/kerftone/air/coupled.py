"""Wood and air as one: the motions of both, and how they answer at any frequency.

Unknowns are the modes of the wood (with the rigid motions), and the volume through each opening. With p = -rho
omega² F and Z the potentials that unit motions press on each other with, the free motions are the x and omega with

[K - omega² (M + rho Z(omega))] x = 0,

K the squared frequencies of the wood's modes, nothing for the air; M one for each mode of the wood, and for an
opening the slug of air in it, h / A times what a thin slit's friction makes of it. Z is complex symmetric: what one
motion does to another it also suffers from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.cavity import LowModes, low_modes, near_field
from kerftone.air.ducts import MOUTH, inertance
from kerftone.air.medium import Medium
from kerftone.air.openings import before_mouths, inside_near, low_drive, plugs, round_factor, spread_on
from kerftone.air.outside import Outside, overlap
from kerftone.air.place import BottomState, Place
from kerftone.air.radiation import Outer, outside_of
from kerftone.air.shell import FACES
from kerftone.air.wood import Pushed

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
DRIVING = 18
"""So many low modes of the cavity, and every motion of the wood, say how the air in the openings may flow."""
LEAST = 1e-9
"""Flows that differ from others by less than this share count as the same."""


@dataclass(frozen=True)
class Sources:
    """What every unknown pushes: over the upper face and the underside (cells), outside (panels), floor, walls.

    Columns are the n motions of the wood, the openings' upper mouths, their lower mouths, the holes in walls and
    bottom, the cells of an open bottom. on (panels, holes): which share of each hole lies on each panel.
    """

    above: Array
    under: Array
    panels: Array
    floor: Array
    walls: Array
    openings: NDArray[np.intp]
    mouth: int
    on: Array

    @property
    def kept(self) -> int:
        """So many unknowns, the last, stay as they are: holes, and the cells of an open bottom."""
        return self.mouth + int(self.on.shape[1])

    @property
    def holes(self) -> slice:
        """The columns of the holes."""
        size = self.above.shape[1]
        return slice(size - self.kept, size - self.mouth)


def sources_of(place: Place, wood: Pushed) -> Sources:
    """Volumes pushed by wood and openings; the sides of a slot push half up and half down."""
    grid = place.grid
    openings = grid.openings
    n, cells = wood.above.shape
    mouth = len(place.floor_area) if place.state is BottomState.OFF else 0
    on = spread_on(place.holes, place.shell)
    size = n + 2 * len(openings) + on.shape[1] + mouth
    above, under = np.zeros((cells, size)), np.zeros((cells, size))
    above[:, :n] = (wood.above + 0.5 * wood.slots).T
    under[:, :n] = (wood.under + 0.5 * wood.slots).T
    at = n + np.arange(len(openings))
    above[openings, at], under[openings, at + len(openings)] = 1.0, -1.0
    panels, floor = np.zeros((len(place.shell.middles), size)), np.zeros((len(place.floor_area), size))
    panels[:, :n], floor[:, :n] = wood.panels.T, wood.floor.T
    panels[:, n + 2 * len(openings) : size - mouth] = on
    if mouth:
        floor[:, size - mouth :] = -np.eye(mouth)
        corner = place.room.origin
        lines = tuple(line + offset for line, offset in zip(place.floor_lines, corner, strict=True))
        shares = [overlap(panel, cell) for panel, cell in zip(place.shell.lines, lines, strict=True)]
        panels[place.shell.face == FACES.index("below"), size - mouth :] = np.kron(*shares)
    walls = np.zeros((wood.walls.shape[1], size))
    walls[:, :n] = wood.walls.T
    return Sources(
        above=above,
        under=under,
        panels=panels,
        floor=floor,
        walls=walls,
        openings=openings,
        mouth=mouth,
        on=on,
    )


@dataclass(frozen=True, kw_only=True)
class Coupled:
    """Wood and air in few unknowns, ready to be asked at any frequency.

    The unknowns are the motions of the wood and the flows through the openings that these and the cavity drive.
    stiff (m, m): K. mass (m, m): M and all of rho Z that no frequency changes. slope: what of Z grows with
    k². whole, over, below (low modes, m): what the cavity's low modes are driven by, in all, from above, from
    below. mean (openings and holes, m): the flow in each, `slits` its width and its h / A, and `rounds` whether it is
    a round hole. outer: see `outside_of`. flows (full unknowns, m): what each unknown is in wood and openings.
    """

    place: Place
    medium: Medium
    wood: int
    stiff: Array
    mass: Array
    slope: Array
    low: LowModes
    whole: Array
    over: Array
    below: Array
    mean: Array
    slits: tuple[Array, Array]
    rounds: NDArray[np.bool_]
    outer: Outer
    volume: Array
    friction: bool = True

    @property
    def density(self) -> float:
        """Of the air, kg/m³."""
        return self.medium.density_kg_m3

    @cached_property
    def _drives(self) -> Array:
        """What drives the low modes: in all, from above, from below, from both (4 low modes, m)."""
        return np.concatenate([self.whole, self.over, self.below, self.over + self.below])

    def rubbing(self, omega: complex) -> Complex:
        """What friction adds to each opening, as inertance, 1/m: h/A times (1 / (1 - tanh z / z)) - 1.

        z = (w/2) sqrt(-i omega rho / mu). The flow between two close walls, standard (from memory): held by
        tests/air/test_coupled.py at both ends, where the slit is all friction (12 mu / w²) and where it hardly has
        any. Of a round hole as in a pipe: see `round_factor`.
        """
        wide, length = self.slits
        factor = slit_factor(wide, omega, self.medium)
        factor[self.rounds] = round_factor(wide[self.rounds], omega, self.medium)
        return np.asarray(length * (factor - 1.0))

    def pressing(self, omega: complex, *, low: bool = True) -> Complex:
        """What of Z depends on frequency. Without `low`, less the cavity's low modes."""
        k2 = (omega / self.medium.speed_m_s) ** 2
        flat, through = self.low.beyond(k2)
        uniform = self.low.uniform(k2) if low else np.zeros_like(flat)
        weights = np.concatenate([uniform, flat - through, flat - through, through])
        # real products are twice as fast as one of a real and a complex matrix
        inside = [(self._drives.T * part) @ self._drives for part in (weights.real, weights.imag)]
        return np.asarray(k2 * self.slope + self.outer.at(omega) + inside[0] + 1j * inside[1])

    def system(self, omega: complex) -> Complex:
        """K - omega² (M + rho Z)."""
        air = self.pressing(omega)
        if self.friction:
            air = air + (self.mean.T * self.rubbing(omega)) @ self.mean
        return np.asarray(self.stiff - omega**2 * (self.mass + self.density * air))

    def near(self, omega: float) -> tuple[Array, Complex]:
        """K and M, all but the cavity's low modes as at this frequency; the amplitudes of those are further
        unknowns.

        -omega² / (k_m² - k²) is c² less c² omega_m² / (omega_m² - omega²): a spring, and an oscillator that takes
        it back.
        """
        c2, size, count = self.medium.speed_m_s**2, len(self.stiff), self.low.count
        springs = self.density * c2 / self.low.norms
        pulls = -(self.whole.T * np.sqrt(springs * self.low.waves * c2))
        stiff, mass = np.zeros((size + count, size + count)), np.eye(size + count, dtype=complex)
        stiff[:size, :size] = self.stiff + (self.whole.T * springs) @ self.whole
        stiff[:size, size:], stiff[size:, :size] = pulls, pulls.T
        stiff[size:, size:] = np.diag(self.low.waves * c2)
        mass[:size, :size] = self.mass + self.density * self.pressing(complex(omega), low=False)
        return stiff, mass


def slit_factor(wide_m: Array, omega: complex, medium: Medium) -> Complex:
    """How many times as heavy friction makes the air in a slit so wide; 1 where it is endless.

    Parameters
    ----------
    wide_m : Array
        Widths of the slits, in m; infinite for an opening without walls.
    omega : complex
        The complex angular frequency, in rad/s.
    medium : Medium
        The air: its density and viscosity are used.
    """
    z = 0.5 * wide_m * np.sqrt(-1j * omega * medium.density_kg_m3 / medium.viscosity_pa_s)
    with np.errstate(invalid="ignore"):
        return np.where(np.isfinite(wide_m), 1.0 / (1.0 - np.tanh(z) / z), 1.0)


def coupled(place: Place, medium: Medium, squares: Array, wood: Pushed, *, up_to_hz: float) -> Coupled:
    """Wood and air together, in as few unknowns as the notes need.

    Parameters
    ----------
    place : Place
        Where the air is.
    medium : Medium
        Which air.
    squares : Array
        The wood's squared angular frequencies (n,), nil for rigid motions; or (n, n), with the springs that hold it.
    wood : Pushed
        What each of its motions pushes.
    up_to_hz : float
        To where the air outside is worked out.
    """
    sources = sources_of(place, wood)
    n, count = len(squares), len(sources.openings)
    shell = Outside(place.shell, place.grid.xs, place.grid.ys)
    near, slope = inner_near(place, sources)
    low = low_modes(place.room)
    still = sources.above.T @ shell.baffled @ sources.above + near + _slugs(place, sources, n)
    still += _holes(place, sources, shell, low, n)
    whole, over, below = _driven(place, sources, low, wood)
    flows = _flows(still, whole, n, sources.kept)
    holes = sources.on.shape[1]
    mean = np.zeros((count + holes, len(still)))
    mean[:count, n : n + count] = mean[:count, n + count : n + 2 * count] = 0.5 * np.eye(count)
    mean[count:, sources.holes] = np.eye(holes)
    mass = medium.density_kg_m3 * flows.T @ still @ flows
    mass[:n, :n] += np.eye(n)
    stiff = np.zeros_like(mass)
    stiff[:n, :n] = np.diag(squares) if squares.ndim == 1 else squares
    grid = place.grid
    return Coupled(
        place=place,
        medium=medium,
        wood=n,
        stiff=stiff,
        mass=mass,
        slope=flows.T @ slope @ flows,
        low=low,
        whole=whole @ flows,
        over=over @ flows,
        below=below @ flows,
        mean=mean @ flows,
        slits=(
            np.append(grid.gap_m.ravel()[sources.openings], [hole.narrow for hole in place.holes]),
            np.append(
                deep_of(place) / grid.open_m2.ravel()[sources.openings],
                [hole.deep / hole.area for hole in place.holes],
            ),
        ),
        rounds=np.append(np.zeros(count, dtype=bool), [hole.round for hole in place.holes]).astype(bool),
        outer=outside_of(shell, sources.above @ flows, sources.panels @ flows, medium, up_to_hz),
        volume=(sources.above.sum(axis=0) + sources.panels.sum(axis=0)) @ flows,
    )


def deep_of(place: Place) -> float:
    """How thick the top is, m."""
    return float(place.shell.middles[place.shell.above][0, 2])


def _flows(still: Array, whole: Array, n: int, kept: int) -> Array:
    """What the full unknowns do in each of the few: the wood's motions with nothing else, then flows of the openings.

    The openings' own inertance takes a pressure from the wood or the cavity and answers with a flow; all they can do
    at the frequencies of notes is made of these answers. The last, holes and the cells of an open bottom, stay as
    they are.
    """
    cuts = slice(n, len(still) - kept)
    own = still[cuts, cuts]
    loads = np.column_stack([still[cuts, :n], whole[:DRIVING, cuts].T])
    answers = np.linalg.solve(own, loads)
    answers /= np.sqrt(np.maximum(np.einsum("ij,ij->j", answers, own @ answers), 1e-300))
    weights, axes = np.linalg.eigh(answers.T @ own @ answers)
    keep = weights > LEAST * weights[-1]
    count = int(keep.sum())
    flows = np.zeros((len(still), n + count + kept))
    flows[:n, :n] = np.eye(n)
    flows[cuts, n : n + count] = answers @ (axes[:, keep] / np.sqrt(weights[keep]))
    flows[len(still) - kept :, n + count :] = np.eye(kept)
    return flows


def _slugs(place: Place, sources: Sources, n: int) -> Array:
    """The inertance of the air in the cuts (unknowns, unknowns), 1/m.

    Less what the near fields have too much at both mouths, being those of an even flow across a cell (MOUTH).
    """
    grid, openings = place.grid, sources.openings
    size, count = sources.above.shape[1], len(openings)
    even = MOUTH * grid.narrow_m.ravel()[openings] / grid.open_m2.ravel()[openings]
    whole = np.zeros((size, size))
    at = slice(n, n + 2 * count)
    whole[at, at] = inertance(grid, deep_of(place)) - np.diag(np.concatenate([even, even]))
    return whole


def _holes(place: Place, sources: Sources, shell: Outside, low: LowModes, n: int) -> Array:
    """The air in and before the holes of walls and bottom (unknowns, unknowns), 1/m; the plug in each goes with the
    wood round it, and moves besides."""
    size, at = sources.above.shape[1], sources.holes
    whole = np.zeros((size, size))
    if not place.holes:
        return whole
    area = np.array([hole.area for hole in place.holes])
    through = np.zeros((len(place.holes), size))
    through[:, at] = np.eye(len(place.holes))
    through[:, :n] = area[:, None] * (sources.on.T @ (sources.panels[:, :n] / place.shell.area[:, None]))
    whole += (through.T * plugs(place.holes)) @ through
    whole[at, at] += before_mouths(place.holes, shell.flat(sources.on)) + inside_near(place.holes, low)
    return whole


def inner_near(place: Place, sources: Sources) -> tuple[Array, Array]:
    """The near field in the cavity, at rest and its slope with k² (unknowns, unknowns)."""
    xs, ys = place.inner_lines
    over = sources.under[place.grid.inside.ravel()]
    size = over.shape[1]
    total = np.zeros((2, size, size))
    for volumes, lines in ((over, (xs, ys)), (sources.floor, place.floor_lines)):
        count = len(volumes)
        for part, field in zip(total, near_field(place.room, *lines), strict=True):
            part += volumes.T @ field.reshape(count, count) @ volumes
    return total[0], total[1]


def _driven(place: Place, sources: Sources, low: LowModes, wood: Pushed) -> tuple[Array, Array, Array]:
    """What each unknown drives the cavity's low modes by: in all, from above, from below (low modes, unknowns)."""
    over = low.over(*place.inner_lines).reshape(low.count, -1) @ sources.under[place.grid.inside.ravel()]
    below = low.over(*place.floor_lines).reshape(low.count, -1) @ sources.floor
    beside = low.at(wood.wall_points[:, 0], wood.wall_points[:, 1]) @ sources.walls
    holes = low_drive(place.holes, low)
    under = np.array([hole.face == "below" for hole in place.holes], dtype=bool)
    below[:, sources.holes] += np.where(under, holes, 0.0)
    beside[:, sources.holes] += np.where(under, 0.0, holes)
    return over + below + beside, over, below
