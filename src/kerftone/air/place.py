"""Where the air is: the grid of the top, the cavity, the outside, and what is open below.

Four states of the bottom: glued on; put in but not joined (the air is shut in, the plate is still); off, in free air;
off, on a table that closes the box without a leak (a soft cloth under the walls: assumed) and mirrors the sound.
A closed drum may stand on a table too: it mirrors the sound, and what the bottom pushes below stays under it; a sound
hole in the bottom is then shut. On feet the table lies lower, and air goes in and out under the drum. In a lap a hole
in the bottom under a leg is shut; legs and body are left out else.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.cavity import Room
from kerftone.air.grid import MM, Grid, top_grid
from kerftone.air.held import gap_mm, legs_mm
from kerftone.air.openings import Opening, openings_of
from kerftone.air.shell import FACES, Brick, Shell, shell_of
from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.seat import depth_mm, inside_mm
from kerftone.drum.shop import On

Array = NDArray[np.floating[Any]]
FLOOR_M = 0.045
"""The longest cell of the bottom's plane."""


class BottomState(StrEnum):
    """How the box is closed below."""

    GLUED = "glued"
    LOOSE = "loose"
    OFF = "off"
    TABLE = "table"


@dataclass(frozen=True, kw_only=True)
class Place:
    """The air's surroundings. plate_m: how thick the bottom is, nil without one. holes: in walls and bottom."""

    grid: Grid
    shell: Shell
    room: Room
    state: BottomState
    plate_m: float
    holes: tuple[Opening, ...] = ()

    @cached_property
    def floor_lines(self) -> tuple[Array, Array]:
        """The grid of the bottom's plane, from the room's corner, m."""
        along, across = (
            np.linspace(0.0, span, max(3, round(span / FLOOR_M)) + 1)
            for span in (self.room.length, self.room.width)
        )
        return along, across

    @property
    def inner_lines(self) -> tuple[Array, Array]:
        """The grid's lines over the cavity, from the room's corner, m."""
        grid, corner = self.grid, self.room.origin
        rows, columns = np.flatnonzero(grid.inside.any(axis=1)), np.flatnonzero(grid.inside.any(axis=0))
        return grid.xs[rows[0] : rows[-1] + 2] - corner[0], grid.ys[columns[0] : columns[-1] + 2] - corner[1]

    @property
    def floor_area(self) -> Array:
        """The area of each cell of the bottom's plane (cells,), m²."""
        along, across = self.floor_lines
        return np.asarray(np.outer(np.diff(along), np.diff(across)).ravel())

    @property
    def floor_middles(self) -> Array:
        """The middles of those cells in the drum's frame (cells, 2), m."""
        mids = [0.5 * (lines[1:] + lines[:-1]) for lines in self.floor_lines]
        x, y = np.meshgrid(*mids, indexing="ij")
        return np.asarray(np.column_stack([x.ravel(), y.ravel()]) + np.array(self.room.origin))

    @property
    def still(self) -> NDArray[np.bool_]:
        """The panels of the outside that no wood moves: a plate not joined, and the mouth of an open box."""
        shell = self.shell
        below = shell.face == FACES.index("below")
        if self.state is BottomState.LOOSE:
            return np.asarray(below | (shell.middles[:, 2] < -self.room.height))
        if self.state is BottomState.OFF:
            x, y = shell.middles[:, 0] - self.room.origin[0], shell.middles[:, 1] - self.room.origin[1]
            over = (x > 0.0) & (x < self.room.length) & (y > 0.0) & (y < self.room.width)
            return np.asarray(below & over)
        return np.zeros(len(below), dtype=bool)


def place_of(
    drum: Drum,
    state: BottomState,
    *,
    plate_mm: float = 0.0,
    on: On = "nothing",
    fineness: float = 1.0,
) -> Place:
    """The surroundings of a drum's air.

    Parameters
    ----------
    drum : Drum
        The drum as its wood moves together.
    state : BottomState
        How it is closed below.
    plate_mm : float, optional
        How thick a bottom is that is put in but not joined, in mm.
    on : On, optional
        What it stands on.
    fineness : float, optional
        2 has cells and panels half as long.
    """
    drawn = outline(drum)
    x0, y0, x1, y1 = drawn.box_outer.bounds
    in_x0, in_y0, in_x1, in_y1 = drawn.wall_inner.bounds
    closed = state in (BottomState.GLUED, BottomState.LOOSE)
    wood = drum if closed else replace(drum, bottom=None)
    height, deep = inside_mm(wood), depth_mm(wood)
    if closed and drum.bottom is None:
        deep += plate_mm
    plate = deep - height
    brick = Brick(
        low=(x0 * MM, y0 * MM, -deep * MM),
        high=(x1 * MM, y1 * MM, drum.top.thickness_mm * MM),
    )
    marks = ((in_x0 * MM, in_x1 * MM), (in_y0 * MM, in_y1 * MM), (-height * MM,) if plate else ())
    under = gap_mm(drum, on)
    gap = 0.0 if state is BottomState.TABLE else None if under is None else under * MM
    hang = min(drum.box.root_bar_height_mm, height) if drum.box.root_bar_mm > 0.0 else 0.0
    return Place(
        grid=top_grid(drum, fineness=fineness),
        shell=shell_of(brick, marks=marks, gap_m=gap, fineness=fineness),
        room=Room(
            origin=(in_x0 * MM, in_y0 * MM),
            length=(in_x1 - in_x0) * MM,
            width=(in_y1 - in_y0) * MM,
            height=height * MM,
            bars=(drum.box.root_bar_mm * MM, hang * MM),
        ),
        state=state,
        plate_m=plate * MM,
        holes=open_on(openings_of(drum, deep_below=-deep * MM, plate_mm=plate if closed else 0.0), drum, on),
    )


def open_on(holes: tuple[Opening, ...], drum: Drum, on: On) -> tuple[Opening, ...]:
    """The holes that are open on what the drum stands on: not those in the bottom on a table, or under a leg.

    Parameters
    ----------
    holes : tuple[Opening, ...]
        Of the drum in the open.
    drum : Drum
        The drum.
    on : On
        What it stands on.
    """

    def is_shut(hole: Opening) -> bool:
        x = hole.middle[0] / MM
        return hole.face == "below" and (
            on == "table" or (on == "lap" and any(a <= x <= b for a, b in legs_mm(drum)))
        )

    return tuple(hole for hole in holes if not is_shut(hole))
