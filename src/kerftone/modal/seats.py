"""What tongues add to a frame when lengths are searched: as tables, at given lengths, and driven at their notes.

Plain arrays; what is made of them is in `search.py`. SI. Held by tests/modal/test_search.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kerftone.modal.result import Array
from kerftone.modal.table import Table

SEAT_ARRAYS = ("stiffness", "mass", "coupling", "own", "strike", "sweep")


@dataclass(frozen=True, kw_only=True)
class Seat:
    """What a tongue of one place adds to the frame, for every node of its table (k, ...), in the frame's unknowns.

    stiffness, mass (k, m, m); coupling (k, m, own) of own modes with the frame; own (k, own): logarithms of the own
    modes' eigenvalues; strike, sweep (k, m + own).
    """

    table: Table
    stiffness: Array
    mass: Array
    coupling: Array
    own: Array
    strike: Array
    sweep: Array

    @cached_property
    def rows(self) -> Array:
        """All of it in one array (k, numbers), in the order of SEAT_ARRAYS, to be interpolated at one go."""
        return np.hstack([getattr(self, name).reshape(len(self.own), -1) for name in SEAT_ARRAYS])


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """Tongues at lengths, each in its place: Seat's arrays at these lengths, the tongues in front (t, ...).

    The second of each pair is the derivative by the logarithm of the tongue's length.
    """

    stiffness: tuple[Array, Array]
    mass: tuple[Array, Array]
    coupling: tuple[Array, Array]
    own: tuple[Array, Array]
    strike: Array
    sweep: Array

    def of_wood(self, stiffness: float, density: float) -> Fitted:
        """The same of wood so many times as stiff and as dense; own modes stay of unit mass."""
        root, own = math.sqrt(density), self.own[0].shape[1]
        turned = np.concatenate([np.ones(self.strike.shape[1] - own), np.full(own, 1.0 / root)])

        def both(pair: tuple[Array, Array], factor: float) -> tuple[Array, Array]:
            return factor * pair[0], factor * pair[1]

        return Fitted(
            stiffness=both(self.stiffness, stiffness),
            mass=both(self.mass, density),
            coupling=both(self.coupling, root),
            own=both(self.own, stiffness / density),
            strike=turned * self.strike,
            sweep=turned * self.sweep,
        )


@dataclass(frozen=True, kw_only=True)
class Sounding:
    """Each tongue driven at the frequency it is to sound (t,): see SearchModel.sounding.

    excess (t,): the logarithm of how much too high the own eigenvalue of each tongue is. slope (t, t): its change
    by the logarithm of each length. strike, sweep (t, t): what each tongue (row) does in the motion of each note
    (column), scaled to unit modal mass. share (t,): the part of that mass which is the tongue's own fundamental.
    moved (t, m): what the frame does when that mode pushes it.
    """

    excess: Array
    slope: Array
    strike: Array
    sweep: Array
    share: Array
    moved: Array
