"""What stands in each column of the band round a drum's inside: rim, wall, root bar and bottom, from the bottom up.

A column is told by how far outwards of the walls' inner face its middle lies, in mm, negative inside. Heights are
from the top's underside.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.seat import below_mm, bottom_gap_mm, drop_mm, gap_mm, over_mm, pressed_mm, rise_mm
from kerftone.modal.solid import Point

PRESSED = "pressed"
"""The name of the layer that stands in for two dry faces held together by clamps."""
INSIDE = -np.inf
"""How far out the middle of the drum is."""

Piece = tuple[str, float, float]
"""One part in a column: its material, from which height, to which."""


@dataclass(frozen=True)
class Quad:
    """One column of the band from above: its corners, and how far out its middle is at the ends and at the sides.

    `outer` names the outer face that its first two corners lie on.
    """

    corners: tuple[tuple[float, float], ...]
    ends: float
    sides: float
    outer: str | None = None

    @property
    def out(self) -> float:
        """How far out it is, in whichever direction is further."""
        return max(self.ends, self.sides)

    @property
    def along(self) -> str:
        """Which way the grain of a wall or bar runs here: front and back walls run the full length."""
        return "y" if self.sides <= 0.0 else "x"

    def at(self, z: float) -> list[Point]:
        """The four corners at this height."""
        return [(x, y, z) for x, y in self.corners]


@dataclass(frozen=True)
class Stacks:
    """What stands in each column of a drum's band.

    marks: the heights at which parts are parted further, `rim_marks` those of the top.
    """

    drum: Drum
    marks: list[float]
    rim_marks: list[float]

    def pieces(self, quad: Quad) -> list[Piece]:
        """The parts in this column, each at the heights where it is parted from what is beside it."""
        found = [*self._bottom(quad), *self._wall(quad), *self._bar(quad), *self._rim(quad)]
        return [
            (name, low, high)
            for name, start, end in found
            for low, high in pairwise([start, *(m for m in self._marks(name) if start < m < end), end])
        ]

    @property
    def floor(self) -> float:
        """The height of the face that the bottom is glued to, or on which the walls stand."""
        return drop_mm(self.drum) - self.drum.box.height_mm

    def _marks(self, name: str) -> list[float]:
        return self.rim_marks if name == "rim" else self.marks

    def _rim(self, quad: Quad) -> Iterable[Piece]:
        drop = drop_mm(self.drum)
        if quad.out < over_mm(self.drum):
            hung = drop > 0.0 and quad.out > -gap_mm(self.drum)
            yield "rim", drop if hung else 0.0, self.drum.top.thickness_mm

    def _wall(self, quad: Quad) -> Iterable[Piece]:
        drum, bottom = self.drum, self.drum.bottom
        if quad.out < 0.0:
            return
        high = drop_mm(drum)
        if drum.box.mount == "in ledge" and quad.out > over_mm(drum) + gap_mm(drum):
            high = drum.top.thickness_mm
        low = self.floor
        if bottom is not None and bottom.fit == "on a lip" and quad.out > bottom.lip_mm + bottom_gap_mm(drum):
            low -= below_mm(drum)
        yield from self._pressed(f"wall {quad.along}", low, high, carries=quad.out < over_mm(drum))

    def _bar(self, quad: Quad) -> Iterable[Piece]:
        box = self.drum.box
        if box.root_bar_mm > 0.0 and quad.out < 0.0 and quad.ends > -box.root_bar_mm:
            low = max(-box.root_bar_height_mm, self.floor)
            yield from self._pressed(f"wall {quad.along}", low, 0.0, carries=True)

    def _pressed(self, name: str, low: float, high: float, *, carries: bool) -> Iterable[Piece]:
        """Wood under the top, its uppermost layer apart where the top is only clamped on it."""
        thin = pressed_mm(self.drum) if carries else 0.0
        yield name, low, high - thin
        if thin:
            yield PRESSED, high - thin, high

    def _bottom(self, quad: Quad) -> Iterable[Piece]:
        bottom, floor = self.drum.bottom, self.floor
        if bottom is None:
            return
        if bottom.fit != "on a lip":
            yield "bottom", floor - bottom.thickness_mm, floor
        elif quad.out < bottom.lip_mm:
            yield "bottom", floor - bottom.lip_thickness_mm, floor
            if quad.out < -bottom_gap_mm(self.drum):
                yield "bottom", floor, floor + rise_mm(self.drum)
