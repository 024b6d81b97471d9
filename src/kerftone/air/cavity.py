"""The air in the box: what presses on its walls when they, and the air in the openings, push it.

A volume v pushed into the cavity makes the potential F = sum over v of G with p = -rho omega² F. In the box's
cosines, G between two places in the plane of the top is the sum over cosines of their product times coth(qH)/q,
with q² = k_mn² - k²; between the planes of top and bottom 1/(q sinh qH). That is exact for a plain box. Low cosines
are kept with their own q at every frequency; of the many others, which make the near field of the slots, the value
and its slope with k².

For the walls only what is uniform over the height counts: 1/(q² H). Root bars under the top's ends make the height
lower there: the low modes along x are then those of the true section.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
LOW_X, LOW_Y = 9, 5
"""So many cosines along and across are kept with their own frequency dependence."""
MANY = 3.0
"""Cosines of the near field go on until so many half waves lie across the narrowest cell."""
MOST_COSINES = 360
"""And no more than so many: with them the near field of the narrowest slot is known to a thousandth."""
SLICES = 240
"""Into so many the box is parted along x, where root bars make it lower at the ends."""


@dataclass(frozen=True, kw_only=True)
class Room:
    """The inside of the box, m: along x and y from a corner at `origin`, and its height; `bars`: how far a root bar
    reaches in from each end and how low it hangs."""

    origin: tuple[float, float]
    length: float
    width: float
    height: float
    bars: tuple[float, float] = (0.0, 0.0)

    @property
    def volume(self) -> float:
        """How much air it holds, m³."""
        return self.width * (self.length * self.height - 2.0 * self.bars[0] * self.bars[1])


def cosine_means(lines: Array, length: float, count: int) -> Array:
    """The mean of cos(m pi x / length) over each interval between these lines (count, intervals); m from 0.

    Parameters
    ----------
    lines : Array
        Rising, (intervals + 1), in m from the wall.
    length : float
        Of the room along it, in m.
    count : int
        How many cosines, the constant one among them.
    """
    order = np.arange(count)[:, None] * np.pi / length
    ends = np.sin(order * lines[None, :])
    steps = np.diff(lines)
    with np.errstate(divide="ignore", invalid="ignore"):
        means = np.diff(ends, axis=1) / (order * steps[None, :])
    means[0] = 1.0
    return np.asarray(means)


def _plane(q2: Any, height: float) -> Any:
    """coth(qH)/q for q²: even in q, so any root will do."""
    q = np.sqrt(q2 + 0j)
    return 1.0 / (q * np.tanh(q * height))


def _across(q2: Any, height: float) -> Any:
    """1/(q sinh qH) for q²."""
    q = np.sqrt(q2 + 0j)
    return 2.0 * np.exp(-q * height) / (q * (1.0 - np.exp(-2.0 * q * height)))


def near_field(room: Room, xs: Array, ys: Array) -> tuple[Array, Array]:
    """Between cells of a grid in the plane of the top (or of the bottom): all cosines but the low ones.

    Returns G at k = 0 and its slope with k² (x, y, x, y), 1/m and m.

    Parameters
    ----------
    room : Room
        The room of air, in m.
    xs : Array
        Lines of the grid along the room, rising, in m from its corner.
    ys : Array
        Lines across it, the same.
    """
    counts = [
        int(min(MOST_COSINES, max(24, np.ceil(MANY * length / np.diff(lines).min()))))
        for length, lines in ((room.length, xs), (room.width, ys))
    ]
    along, across = cosine_means(xs, room.length, counts[0]), cosine_means(ys, room.width, counts[1])
    waves = _square_waves(room, *counts)
    norm = _norms(room, *counts)
    low = np.zeros(waves.shape, dtype=bool)
    low[:LOW_X, :LOW_Y] = True
    q = np.sqrt(np.where(low, 1.0, waves))
    tanh = np.tanh(q * room.height)
    value = np.where(low, 0.0, 1.0 / (q * tanh * norm))
    # d/dk² of coth(qH)/q is -d/dq² of it: (coth/q + H/sinh²)/(2 q²)
    bend = np.where(
        q * room.height < 300.0, room.height / np.sinh(np.minimum(q * room.height, 300.0)) ** 2, 0.0
    )
    slope = np.where(low, 0.0, (1.0 / (q * tanh) + bend) / (2.0 * q**2 * norm))
    return _contracted(along, across, value), _contracted(along, across, slope)


def _square_waves(room: Room, nx: int, ny: int) -> Array:
    kx, ky = np.arange(nx) * np.pi / room.length, np.arange(ny) * np.pi / room.width
    return np.asarray(kx[:, None] ** 2 + ky[None, :] ** 2)


def _norms(room: Room, nx: int, ny: int) -> Array:
    """The integral of each squared cosine over the plan, m²."""
    x, y = np.full(nx, 0.5), np.full(ny, 0.5)
    x[0] = y[0] = 1.0
    return np.asarray(room.length * room.width * np.outer(x, y))


def _contracted(along: Array, across: Array, weight: Array) -> Array:
    """Sum over m, n of weight times the products of cosines at two cells (x, y, x, y)."""
    nx, ny = along.shape[1], across.shape[1]
    pairs_x = (along[:, :, None] * along[:, None, :]).reshape(len(along), -1)
    pairs_y = (across[:, :, None] * across[:, None, :]).reshape(len(across), -1)
    return np.asarray((pairs_x.T @ weight @ pairs_y).reshape(nx, nx, ny, ny).transpose(0, 2, 1, 3))


@dataclass(frozen=True)
class LowModes:
    """The low cosines, or with root bars the modes of the true section, and how they answer at a frequency.

    waves (modes,): k_mn² of each. norms (modes,): the integral of its square over the room, m³. slices (LOW_X,
    slices): each mode along x at the middles of equal slices.
    """

    room: Room
    waves: Array
    norms: Array
    slices: Array

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.waves)

    def over(self, xs: Array, ys: Array) -> Array:
        """Their means over the cells of a grid given by its lines from the room's corner (modes, x, y)."""
        along = _slice_means(self.slices, xs, self.room.length)
        if not self.room.bars[0]:
            along = cosine_means(xs, self.room.length, LOW_X)
        across = cosine_means(ys, self.room.width, LOW_Y)
        return np.asarray(
            (along[:, None, :, None] * across[None, :, None, :]).reshape(-1, along.shape[1], across.shape[1])
        )

    def at(self, x: Array, y: Array) -> Array:
        """Their values at points (modes, points)."""
        places = (np.arange(SLICES) + 0.5) * self.room.length / SLICES
        along = np.array([np.interp(x, places, row) for row in self.slices])
        if not self.room.bars[0]:
            along = np.cos(np.arange(LOW_X)[:, None] * np.pi * x[None, :] / self.room.length)
        across = np.cos(np.arange(LOW_Y)[:, None] * np.pi * y[None, :] / self.room.width)
        return np.asarray((along[:, None, :] * across[None, :, :]).reshape(-1, len(x)))

    def uniform(self, k2: complex) -> Complex:
        """What each answers, uniform over the height: 1/(N (k_mn² - k²))."""
        return np.asarray(1.0 / (self.norms * (self.waves - k2)))

    def beyond(self, k2: complex) -> tuple[Complex, Complex]:
        """What each answers besides, through the height: in one plane, and from plane to plane."""
        plan = self.norms / self.room.height
        q2 = _square_waves(self.room, LOW_X, LOW_Y).ravel() - k2
        flat = 1.0 / (q2 * self.room.height)
        return (_plane(q2, self.room.height) - flat) / plan, (_across(q2, self.room.height) - flat) / plan


def _slice_means(slices: Array, xs: Array, length: float) -> Array:
    """The mean of each row, known at the middles of equal slices, between these lines."""
    sums = np.concatenate([np.zeros((len(slices), 1)), np.cumsum(slices, axis=1)], axis=1) * length / SLICES
    marks = np.linspace(0.0, length, SLICES + 1)
    at = np.array([np.interp(xs, marks, row) for row in sums])
    return np.asarray(np.diff(at, axis=1) / np.diff(xs))


def low_modes(room: Room) -> LowModes:
    """The low modes of a room, uniform over the height."""
    middles = (np.arange(SLICES) + 0.5) * room.length / SLICES
    reach, hang = room.bars
    under_bar = (middles < reach) | (middles > room.length - reach)
    heights = np.where(under_bar, max(room.height - hang, 0.02 * room.height), room.height)
    step = room.length / SLICES
    between = 2.0 / (1.0 / heights[1:] + 1.0 / heights[:-1]) / step
    stiff = np.diag(np.append(between, 0.0) + np.insert(between, 0, 0.0))
    stiff -= np.diag(between, 1) + np.diag(between, -1)
    found, shapes = eigh(stiff, np.diag(heights * step), subset_by_index=[0, LOW_X - 1])
    waves = np.where(np.arange(LOW_X) == 0, 0.0, found)
    if not reach:
        waves = (np.arange(LOW_X) * np.pi / room.length) ** 2
        shapes = np.cos(np.pi * np.outer(middles, np.arange(LOW_X)) / room.length)
    norm_x = (shapes**2 * (heights * step)[:, None]).sum(axis=0)
    norm_y = np.where(np.arange(LOW_Y) == 0, 1.0, 0.5) * room.width
    across = (np.arange(LOW_Y) * np.pi / room.width) ** 2
    return LowModes(
        room=room,
        waves=(waves[:, None] + across[None, :]).ravel(),
        norms=np.outer(norm_x, norm_y).ravel(),
        slices=shapes.T,
    )
