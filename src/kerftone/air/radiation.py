"""The air outside at any frequency: worked out at some, polynomials in between.

What presses in phase is even in the frequency, what is in quadrature is odd: polynomials in omega², through the
frequencies that serve best for that (half of twice as many Chebyshev nodes), and good for complex frequencies near
them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.medium import Medium
from kerftone.air.outside import Outside, square_form
from kerftone.modal.threads import together

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
LEAST_NODES = 5
"""Frequencies worked out at the least, however small the box: own judgement."""
EAR_M, EAR_UP_DEG = 1.0, 30.0
"""A listener in front: so far from the middle of the top, on the side of the front edge, so high over it. Where the
ears of someone are who sits opposite the player: own judgement."""


@dataclass(frozen=True, kw_only=True)
class Outer:
    """squares (nodes,): omega² there; in_phase, across (nodes, m, m): Z in phase, and in quadrature over omega.

    ear (2, nodes, m): the potential at the listener's place less the delay of the way there, in phase, and in
    quadrature over omega. highest: the angular frequency up to which it holds; above, the air is taken as at that.
    """

    squares: Array
    in_phase: Array
    across: Array
    ear: Array
    highest: float

    def at(self, omega: complex) -> Complex:
        """Z outside, less the baffled part that no frequency changes."""
        if omega.real > self.highest:
            omega = complex(self.highest)
        weights = lagrange(self.squares, omega**2)
        parts = np.array([weights.real, weights.imag])
        even, odd = (np.tensordot(parts, part, 1) for part in (self.in_phase, self.across))
        return np.asarray(even[0] + 1j * even[1] + 1j * omega * (odd[0] + 1j * odd[1]))

    def heard(self, omega: float) -> Complex:
        """The volume of the small source in the middle of the top that would be heard alike in front of the drum, of
        each motion (m,)."""
        near = min(omega, self.highest)
        even, odd = (lagrange(self.squares, near**2).real @ part for part in self.ear)
        return np.asarray(4.0 * np.pi * EAR_M * (even + 1j * near * odd))

    def loss(self, omega: float) -> Array:
        """What of it carries energy off, real and never negative."""
        weights = lagrange(self.squares, min(omega, self.highest) ** 2).real
        return np.asarray(min(omega, self.highest) * np.tensordot(weights, self.across, 1))


def outside_of(shell: Outside, cells: Array, panels: Array, medium: Medium, up_to_hz: float) -> Outer:
    """The air outside for these motions.

    Parameters
    ----------
    shell : Outside
        The outside of the box.
    cells : Array
        Volumes that each motion pushes through the cells of the upper face (cells, m), m³.
    panels : Array
        And through the other panels (panels, m), nil above.
    medium : Medium
        Which air.
    up_to_hz : float
        To where it is worked out.
    """
    middles = shell.shell.middles
    span = float(np.linalg.norm(np.ptp(middles, axis=0))) * (1.0 if shell.shell.mirror_m is None else 1.2)
    highest = 2.0 * np.pi * up_to_hz
    count = max(LEAST_NODES, int(np.ceil(highest / medium.speed_m_s * span)) + 1)
    turns = np.cos(0.5 * np.pi * (np.arange(count) + 0.5) / count)

    ear = listener(shell)

    def at(omega: float) -> tuple[Array, Array, Array]:
        k = omega / medium.speed_m_s
        found, more = shell.solved(k, cells, panels)
        extra = np.real(panels.T @ found + cells.T @ more)
        across = square_form(*shell.far(k, cells, panels, found)) / medium.speed_m_s
        there = shell.at(k, ear, (cells, panels), found) * np.exp(-1j * k * EAR_M)
        return 0.5 * (extra + extra.T), across, np.array([there.real, there.imag / omega])

    first, *rest = (partial(at, float(omega)) for omega in highest * turns)
    # The first alone: it works out what the shell then holds ready for all frequencies.
    in_phase, across, heard = zip(first(), *together(rest), strict=True)
    return Outer(
        squares=(highest * turns) ** 2,
        in_phase=np.array(in_phase),
        across=np.array(across),
        ear=np.stack(heard, axis=1),
        highest=highest,
    )


def listener(shell: Outside) -> Array:
    """Where the listener's ears are (3,), in m."""
    above = shell.shell.middles[shell.shell.above]
    middle = 0.5 * (above.min(axis=0) + above.max(axis=0))
    up = np.radians(EAR_UP_DEG)
    return np.asarray(middle + EAR_M * np.array([0.0, -np.cos(up), np.sin(up)]))


def lagrange(nodes: Array, at: complex) -> Complex:
    """The weights of the nodes' values in the polynomial through them at this place."""
    apart = nodes[:, None] - nodes
    shares = (at - nodes) / np.where(apart == 0.0, 1.0, apart)
    np.fill_diagonal(shares, 1.0)
    return np.asarray(shares.prod(axis=1))
