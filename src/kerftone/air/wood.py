"""How much air each mode of the wood pushes, and where: over the top, in the slots, on walls and bottom.

Read from the modes' shapes at the middle of every cell and panel. Volumes in m³ for unit modal amplitude (m²
kg^-1/2), positive into the air they push.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.ops import nearest_points

from kerftone.air.grid import MM, Grid
from kerftone.air.place import Place
from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.seat import SKIN_MM, inside_mm, seat_mm
from kerftone.drum.slot_room import bowed_ys, straightened

if TYPE_CHECKING:
    from kerftone.modal.surface import Motions

Array = NDArray[np.floating[Any]]
WALL_STEPS = (12, 3)
"""Places along and up each wall's inner face."""


@dataclass(frozen=True, kw_only=True)
class Pushed:
    """The air that n motions push.

    above, under (n, cells): by the top's two faces over each cell of the grid, outwards and into the cavity. slots
    (n, cells): by the sides of the openings, into them. panels (n, panels): by the outside, the upper face left
    out. floor (n, floor cells): by the bottom into the cavity; walls (n, places): by the walls' inner faces, at
    `wall_points` (m, from the room's corner).
    """

    above: Array
    under: Array
    slots: Array
    panels: Array
    floor: Array
    walls: Array
    wall_points: Array


def pushed(motions: Motions, place: Place) -> Pushed:
    """What every motion of a solved drum pushes. Held by tests/air/test_wood.py."""
    from kerftone.modal.band import in_band  # still wood is asked about without the solver
    from kerftone.modal.plan import floor_at

    solution = motions.solution
    drum, grid = solution.drum, place.grid
    tops, shares = _wood_points(drum, grid)
    tops, wider = _on_bowed(drum, tops)
    floors = floor_at(tops, drum.bores, solution.fineness.rim_sides)
    h = drum.top.thickness_mm
    low = floors + np.where(floors > 0.0, 0.05 * (h - floors), SKIN_MM)
    area = (grid.cell_m2.ravel() - grid.open_m2.ravel()) * shares * wider
    edges, edge_normals, edge_cells, edge_area = _slot_sides(drum, grid)
    edges[:, :2], _ = _on_bowed(drum, edges[:, :2])
    shell = place.shell
    beside = ~shell.above
    wall, wall_normals, wall_area = _wall_points(drum, place)
    bottomed = drum.bottom is not None
    floor = np.column_stack(
        [place.floor_middles / MM, np.full(len(place.floor_middles), -inside_mm(drum) - SKIN_MM)]
    )
    lots = [
        np.column_stack([tops, np.full(len(tops), h - SKIN_MM)]),
        np.column_stack([tops, low]),
        edges,
        _in_wood(shell.middles / MM, shell.normals, drum, place)[beside],
        wall,
        floor if bottomed else np.zeros((0, 3)),
    ]
    ends = np.cumsum([len(lot) for lot in lots])[:-1]
    moves = np.split(motions.at(in_band(drum, np.concatenate(lots), SKIN_MM)), ends, axis=1)
    above, under, side, outer, inner, base = moves
    slots = np.zeros((len(above), grid.inside.size))
    np.add.at(slots.T, edge_cells, ((side * edge_normals).sum(axis=2) * edge_area).T)
    panels = np.zeros((len(above), len(shell.middles)))
    still = place.still[beside]
    panels[:, beside] = np.where(still, 0.0, (outer * shell.normals[beside]).sum(axis=2) * shell.area[beside])
    return Pushed(
        above=above[:, :, 2] * area,
        under=np.where(grid.inside.ravel(), -under[:, :, 2] * area, 0.0),
        slots=slots,
        panels=panels,
        floor=base[:, :, 2] * place.floor_area
        if bottomed
        else np.zeros((len(above), len(place.floor_middles))),
        walls=(inner * wall_normals).sum(axis=2) * wall_area,
        wall_points=wall[:, :2] * MM - np.array(place.room.origin),
    )


def still(place: Place) -> Pushed:
    """Wood that does not move at all: what the air does by itself."""
    cells, floor, panels = place.grid.inside.size, len(place.floor_area), len(place.shell.middles)
    return Pushed(
        above=np.zeros((0, cells)),
        under=np.zeros((0, cells)),
        slots=np.zeros((0, cells)),
        panels=np.zeros((0, panels)),
        floor=np.zeros((0, floor)),
        walls=np.zeros((0, 1)),
        wall_points=np.zeros((1, 2)),
    )


def _wood_points(drum: Drum, grid: Grid) -> tuple[Array, Array]:
    """A point in the wood of every cell, mm (cells, 2), and 1 where there is any. Elsewhere somewhere in the wood."""
    x, y = (values.ravel() / MM for values in np.meshgrid(*grid.middles, indexing="ij"))
    points = np.column_stack([x, y])
    shares = np.ones(len(points))
    top = outline(straightened(drum)).top
    whole, open_ = grid.cell_m2.ravel(), grid.open_m2.ravel()
    lines_x, lines_y = grid.xs / MM, grid.ys / MM
    for cell in np.flatnonzero(open_ > 0.0):
        i, j = divmod(int(cell), grid.open_m2.shape[1])
        if open_[cell] > 0.99 * whole[cell]:
            shares[cell], points[cell] = 0.0, (1.0, 1.0)
            continue
        wood = shapely.box(lines_x[i], lines_y[j], lines_x[i + 1], lines_y[j + 1]).intersection(top)
        spot = max(getattr(wood, "geoms", [wood]), key=lambda piece: piece.area).representative_point()
        points[cell] = spot.x, spot.y
    return points, shares


def _on_bowed(drum: Drum, places: Array) -> tuple[Array, Array]:
    """Places of the grid, mm (n, 2), in the wood of the drum as it is, and how much wider it is there."""
    if not drum.slots.bow_mm:
        return places, np.ones(len(places))
    drawn = outline(drum)
    ys, wider = bowed_ys(drawn.layout, seat_mm(drum), drum.top.width_mm, places)
    found = np.column_stack([places[:, 0], ys])
    # A curved end is stretched otherwise than the wood round it: what falls beside it is drawn back into it.
    moved = abs(ys - places[:, 1]) > 0.0
    wood = drawn.top.buffer(-SKIN_MM)
    for at in np.flatnonzero(moved & ~shapely.contains_xy(wood, *found.T)):
        near = nearest_points(wood, shapely.Point(found[at]))[0]
        found[at] = near.x, near.y
    return found, wider


def _in_wood(points: Array, normals: Array, drum: Drum, place: Place) -> Array:
    """Points of the outside, mm, drawn a hair into the wood; those on a plate that is not joined, anywhere in it."""
    inside = points - SKIN_MM * normals
    inside[place.still] = (1.0, 1.0, 0.5 * drum.top.thickness_mm)
    return np.asarray(inside)


def _slot_sides(drum: Drum, grid: Grid) -> tuple[Array, Array, NDArray[np.intp], Array]:
    """The wood beside every opening: points (mm), normals into the opening, the cell, the side's area (m²)."""
    is_open = grid.open_m2 > 0.5 * grid.cell_m2
    points, normals, cells, areas = [], [], [], []
    lines, middles = (grid.xs, grid.ys), grid.middles
    deep = drum.top.thickness_mm
    shape = is_open.shape
    for i, j in zip(*np.nonzero(is_open), strict=True):
        for axis, step in ((0, -1), (0, 1), (1, -1), (1, 1)):
            other = (i + step, j) if axis == 0 else (i, j + step)
            if not (0 <= other[0] < shape[0] and 0 <= other[1] < shape[1]) or is_open[other]:
                continue
            if grid.open_m2[other] > 0.0:
                continue
            here = (i, j)[axis]
            edge = lines[axis][here + (step > 0)] / MM + step * SKIN_MM
            at = middles[1 - axis][(i, j)[1 - axis]] / MM
            points.append((edge, at, 0.5 * deep) if axis == 0 else (at, edge, 0.5 * deep))
            normals.append((-step, 0.0, 0.0) if axis == 0 else (0.0, -step, 0.0))
            cells.append(i * shape[1] + j)
            areas.append(deep * MM * np.diff(lines[1 - axis])[(i, j)[1 - axis]])
    return np.array(points), np.array(normals), np.array(cells, dtype=np.intp), np.array(areas)


def _wall_points(drum: Drum, place: Place) -> tuple[Array, Array, Array]:
    """Places on the walls' inner faces: points in the wood (mm), normals into the cavity, areas (m²)."""
    x0, y0, x1, y1 = outline(drum).wall_inner.bounds
    height = inside_mm(drum)
    reach, hang = drum.box.root_bar_mm, min(drum.box.root_bar_height_mm, height)
    along, up = ((np.arange(n) + 0.5) / n for n in WALL_STEPS)
    points, normals, areas = [], [], []
    for axis, low, high, ends in ((0, y0, y1, (x0, x1)), (1, x0, x1, (y0, y1))):
        for end, way in zip(ends, (1.0, -1.0), strict=True):
            for share in along:
                for level in up:
                    z = -height * level
                    barred = axis == 0 and reach > 0.0 and -z < hang
                    face = end + way * (reach if barred else 0.0) - way * SKIN_MM
                    at = low + share * (high - low)
                    points.append((face, at, z) if axis == 0 else (at, face, z))
                    normals.append((way, 0.0, 0.0) if axis == 0 else (0.0, way, 0.0))
                    areas.append((high - low) * height * MM**2 / (len(along) * len(up)))
    return np.array(points), np.array(normals), np.array(areas)
