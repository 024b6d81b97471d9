"""Openings in walls and bottom: sound holes, and the bore of a jack, that let the box breathe besides its slots.

A round hole is one cell; a slot is parted along into cells, its round ends made square at the same area. Through each
goes a flow of its own, even over the cell, positive out of the box, taken against the wood that carries it: the air
in it is a plug that goes with the wood, and moves besides. What presses against the flow is the plug's mass, depth
over area, and the air before both mouths.

*Outside* the panels of the shell carry the flow as if it came out of the whole panel; what the cell does otherwise is
local, and that of a baffle: 8 / (3 pi² a) for a round piston, the integral of 1/(2 pi r) for a rectangle. *Inside*
the low modes of the cavity are driven at the hole; the rest is the room's own answer to a flow through that face, a
sum over cosines of the face with coth(qL)/q as in `cavity.py`, L the room's extent away from the face. From mouths of
other faces only the low modes reach it. *The mouth*: an even flow has too long an end correction, by 8/(3 pi) -
0.8217 radii (Nomura; King; from memory) where it is round, as `ducts.MOUTH` where it is a slit. Metres.

Held by tests/air/test_openings.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import j1, jve

from kerftone.air.cavity import LowModes, Room
from kerftone.air.ducts import MOUTH
from kerftone.air.medium import Medium
from kerftone.air.rectangles import mean_between
from kerftone.air.shell import FACES, Shell
from kerftone.drum.design import Drum, SoundHole
from kerftone.drum.shop import Pickup
from kerftone.drum.sound_holes import placed_holes

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
MM = 1e-3
"""Metres in a millimetre."""
CELL_WIDTHS = 4.0
"""A slot is parted into cells no longer than so many of its widths."""
EVEN_ROUND, TRUE_ROUND = 8.0 / (3.0 * math.pi), 0.8217
"""The end correction of a flanged round mouth in radii: of an even flow (Rayleigh), and of the true one (Nomura;
King; all from memory)."""
WAVES = 24.0
"""Cosines over a face go on to so many radians over half a cell's width; with twice as many what they say of a round
hole moves by less than a thousandth."""
MOST_WAVES = 1600
"""And no more than so many along a side of the face: a hole of 3 mm in a wall of 0.6 m still has its own radius
told to a hundredth."""
PLUG_MM = 6.35
"""The bore of a jack for a quarter-inch plug, open into the box while nothing is plugged in: from memory."""


@dataclass(frozen=True, kw_only=True)
class Opening:
    """One cell: its face of the box (`shell.FACES`), middle (x, y, z) on the outer face, half sides along the face's
    two axes, m; whether it is round; how deep the wood is there."""

    face: str
    middle: tuple[float, float, float]
    half: tuple[float, float]
    round: bool
    deep: float

    @property
    def axes(self) -> tuple[int, int]:
        """The axes that lie in the face."""
        normal = FACES.index(self.face) // 2
        first, second = (axis for axis in range(3) if axis != normal)
        return first, second

    @property
    def area(self) -> float:
        """m²."""
        return math.pi * self.half[0] ** 2 if self.round else 4.0 * self.half[0] * self.half[1]

    @property
    def narrow(self) -> float:
        """Its diameter, or its narrower side, m."""
        return 2.0 * min(self.half)

    @property
    def square(self) -> tuple[float, float]:
        """Half sides of the rectangle of the same area."""
        return (0.5 * math.sqrt(self.area),) * 2 if self.round else self.half


def openings_of(drum: Drum, *, deep_below: float, plate_mm: float) -> tuple[Opening, ...]:
    """The cells of a drum's sound holes, and of its jack's bore.

    Parameters
    ----------
    drum : Drum
        The drum.
    deep_below : float
        Where the lowest face lies, in m (z).
    plate_mm : float
        How thick the bottom is, in mm; 0 where there is none, or where it lies on a table, so that holes in it do not
        count.
    """
    found: list[Opening] = []
    for placed in placed_holes(drum):
        part = placed.hole.part
        below = part == "bottom"
        if below and not plate_mm:
            continue
        x, y, z = (MM * value for value in placed.at_mm)
        whole = Opening(
            face="below" if below else part,
            middle=(x, y, deep_below if below else z),
            half=(0.5 * MM * placed.hole.diameter_mm,) * 2,
            round=True,
            deep=MM * (plate_mm if below else drum.box.wall_mm),
        )
        found += _parted(whole, MM * placed.hole.long_mm)
    pickup = drum.making.pickup
    return (*found, *([] if pickup is None else [_jack(drum, pickup)]))


def _parted(round_: Opening, long: float) -> list[Opening]:
    """A hole so long as cells: itself where it is round."""
    wide = 2.0 * round_.half[0]
    if long < 1.001 * wide:
        return [round_]
    straight = long - (1.0 - 0.25 * math.pi) * wide
    count = max(1, math.ceil(straight / (CELL_WIDTHS * wide)))
    axis, step = round_.axes[0], straight / count
    cells = []
    for number in range(count):
        middle = list(round_.middle)
        middle[axis] += (number + 0.5) * step - 0.5 * straight
        cells.append(
            replace(
                round_, middle=(middle[0], middle[1], middle[2]), half=(0.5 * step, 0.5 * wide), round=False
            )
        )
    return cells


def _jack(drum: Drum, pickup: Pickup) -> Opening:
    """The bore of the jack with nothing plugged in; where its place is open a quarter of the wall from an end."""
    hole = SoundHole(
        part=pickup.wall,
        diameter_mm=PLUG_MM,
        along_mm=pickup.jack_along_mm,
        up_mm=pickup.jack_up_mm,
    )
    (placed,) = placed_holes(replace(drum, sound_holes=(hole,)))
    x, y, z = (MM * value for value in placed.at_mm)
    return Opening(
        face=pickup.wall,
        middle=(x, y, z),
        half=(0.5 * MM * PLUG_MM,) * 2,
        round=True,
        deep=MM * pickup.jack_thread_mm,
    )


def spread_on(openings: Sequence[Opening], shell: Shell) -> Array:
    """Which share of each cell lies on each panel (panels, cells)."""
    found = np.zeros((len(shell.middles), len(openings)))
    for number, cell in enumerate(openings):
        on = np.flatnonzero(shell.face == FACES.index(cell.face))
        over = np.ones(len(on))
        for axis, half in zip(cell.axes, cell.square, strict=True):
            low = np.maximum(shell.middles[on, axis] - shell.halves[on, axis], cell.middle[axis] - half)
            high = np.minimum(shell.middles[on, axis] + shell.halves[on, axis], cell.middle[axis] + half)
            over = over * np.maximum(high - low, 0.0)
        found[on, number] = over / max(over.sum(), 1e-300)
    return found


def plugs(openings: Sequence[Opening]) -> Array:
    """The inertance of the air in each cell (cells,), 1/m: depth over area, less what even flows have too much before
    both mouths."""
    extra = [
        (EVEN_ROUND - TRUE_ROUND) * cell.half[0] if cell.round else MOUTH * cell.narrow for cell in openings
    ]
    return np.array(
        [(cell.deep - 2.0 * more) / cell.area for cell, more in zip(openings, extra, strict=True)]
    )


def before_mouths(openings: Sequence[Opening], panels: Array) -> Array:
    """What the cells' flows do to each other outside, in a baffle, beyond what the panels say of it (cells, cells),
    1/m.

    Parameters
    ----------
    openings : Sequence[Opening]
        The cells.
    panels : Array
        What the panels that carry them say, as of a unit flow each, (cells, cells), in 1/m.
    """
    whole = np.zeros((len(openings),) * 2)
    for i, one in enumerate(openings):
        for j, other in enumerate(openings):
            if one.face != other.face:
                continue
            if i == j and one.round:
                whole[i, j] = EVEN_ROUND / (math.pi * one.half[0])
                continue
            apart = [other.middle[axis] - one.middle[axis] for axis in one.axes]
            whole[i, j] = mean_between(one.square, other.square, (apart[0], apart[1])) / (2.0 * math.pi)
    same = np.array([[one.face == other.face for other in openings] for one in openings])
    return np.where(same, whole - panels, 0.0)


def low_drive(openings: Sequence[Opening], low: LowModes) -> Array:
    """What a flow of one out of each cell takes from each low mode of the cavity (modes, cells)."""
    found = np.zeros((low.count, len(openings)))
    for number, cell in enumerate(openings):
        at = [_within(cell, low.room, a, b) for a in (-1.0, 1.0) for b in (-1.0, 1.0)]
        x, y = (np.array(values) for values in zip(*at, strict=True))
        found[:, number] = -low.at(x, y).mean(axis=1)
    return found


def _within(cell: Opening, room: Room, a: float, b: float) -> tuple[float, float]:
    """A point of the cell in plan, from the room's corner: (a, b) in half sides times a Gauss point."""
    spot = list(cell.middle)
    reach = 0.5 if cell.round else 3.0**-0.5
    for axis, half, share in zip(cell.axes, cell.half, (a, b), strict=True):
        spot[axis] += share * reach * half
    sides = (room.length, room.width)
    x, y = (min(max(spot[k] - room.origin[k], 0.0), sides[k]) for k in (0, 1))
    return x, y


def inside_near(openings: Sequence[Opening], low: LowModes) -> Array:
    """What the cells' flows do to each other in the cavity at rest, beyond its low modes (cells, cells), 1/m."""
    drive = low_drive(openings, low)
    static = np.where(low.waves > 0.0, 1.0 / (low.norms * np.where(low.waves > 0.0, low.waves, 1.0)), 0.0)
    whole = -(drive.T * static) @ drive
    below = np.array([cell.face == "below" for cell in openings])
    if below.any():
        flat = np.real(low.beyond(complex(1e-6))[0])
        whole -= np.where(np.outer(below, below), (drive.T * flat) @ drive, 0.0)
    for face in dict.fromkeys(cell.face for cell in openings):
        at = [number for number, cell in enumerate(openings) if cell.face == face]
        whole[np.ix_(at, at)] += _face_field([openings[number] for number in at], low.room)
    same = np.array([[one.face == other.face for other in openings] for one in openings])
    return np.where(same, whole, 0.0)


def _face_field(cells: Sequence[Opening], room: Room) -> Array:
    """The room's answer at rest to flows through one of its faces, all but what is even over the room, 1/m."""
    sides = (room.length, room.width, room.height)
    corner = (*room.origin, -room.height)
    first, second = cells[0].axes
    away = sides[3 - first - second]
    narrow = min(cell.narrow for cell in cells)
    counts = [
        int(min(MOST_WAVES, max(32, math.ceil(2.0 * WAVES * sides[k] / (math.pi * narrow)))))
        for k in (first, second)
    ]
    a, b = (np.arange(count) * np.pi / sides[k] for count, k in zip(counts, (first, second), strict=True))
    q = np.hypot(a[:, None], b[None, :])
    safe = np.where(q > 0.0, q, 1.0)
    norm = np.outer(np.where(a > 0.0, 0.5, 1.0), np.where(b > 0.0, 0.5, 1.0)) * sides[first] * sides[second]
    weight = np.where(q > 0.0, 1.0 / (safe * np.tanh(safe * away)), away / 3.0) / norm
    means = []
    for cell in cells:
        at = [np.cos(waves * (cell.middle[k] - corner[k])) for waves, k in ((a, first), (b, second))]
        means.append((np.outer(*at) * _blur(cell, a, b)).ravel())
    rows = np.array(means)
    return np.asarray((rows * weight.ravel()) @ rows.T)


def _blur(cell: Opening, a: Array, b: Array) -> Array:
    """The mean over the cell of cosines that are 1 in its middle."""
    if cell.round:
        size = np.hypot(a[:, None], b[None, :]) * cell.half[0]
        return np.asarray(np.where(size > 0.0, 2.0 * j1(size) / np.where(size > 0.0, size, 1.0), 1.0))
    return np.outer(
        *(np.sinc(waves * half / np.pi) for waves, half in ((a, cell.half[0]), (b, cell.half[1])))
    )


def round_factor(wide_m: Array, omega: complex, medium: Medium) -> Complex:
    """How many times as heavy friction makes the air in a round hole.

    1 / (1 - 2 J1(z) / (z J0(z))), z = a sqrt(i omega rho / mu): the flow in a round pipe, standard (from memory).
    Held by tests/air/test_openings.py at both ends.

    Parameters
    ----------
    wide_m : Array
        Diameters, in m.
    omega : complex
        The complex angular frequency, in rad/s.
    medium : Medium
        The air: its density and viscosity are used.
    """
    z = 0.5 * wide_m * np.sqrt(1j * omega * medium.density_kg_m3 / medium.viscosity_pa_s)
    return np.asarray(1.0 / (1.0 - 2.0 * jve(1, z) / (z * jve(0, z))))
