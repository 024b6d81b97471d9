"""The whole drum as prisms and bricks: the top raised from its plan, walls and bottom hung under it.

The top inside the walls is one layer of prisms, or two where any bore has been made: the boundary between
the layers dips to the floor of each bore. Over the walls, and in them, the mesh is bricks drawn out along
the wall, thin only towards the glue. Built in mm, handed over in m.

Materials: the plan's regions, "rim" (the top over the walls), "wall x" and "wall y" (which run along x and
y) and "bottom". Boundaries: "upper, " and the name of the wood under it, "under" (the top's underside inside
the walls), "base" (the lowest faces), and the outer faces "front", "back", "left", "right".
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import netgen.meshing as nm
import numpy as np
from numpy.typing import NDArray
from shapely import MultiPoint, delaunay_triangles
from shapely.geometry.polygon import orient

from kerftone.drum.design import Drum
from kerftone.drum.outline import seat_mm
from kerftone.modal.plan import Plan

Point = tuple[float, float, float]
MM = 1e-3
GLUE_LAYER = 1.25
"""Height of the first layer of a wall under the glue, in widths of the glued band; each next is larger."""
LAYER_GROWTH = 2.0
BOTTOM_MESH_MM = 60.0
LOWER_LAYER = 0.3
"""Where there are two layers, the lower one is this share of the thickness away from bores."""


@dataclass
class Cells:
    """A mesh under construction: points are shared where they are the same to a hundredth of a micron."""

    points: list[Point] = field(default_factory=list)
    numbers: dict[tuple[int, int, int], int] = field(default_factory=dict)
    volumes: dict[str, list[list[int]]] = field(default_factory=dict)
    faces: dict[str, list[list[int]]] = field(default_factory=dict)
    _place: NDArray[np.intp] = field(default_factory=lambda: np.zeros(0, dtype=np.intp))

    def number(self, point: Point) -> int:
        """The number of this point, new or known."""
        x, y, z = point
        key = (round(x * 1e5), round(y * 1e5), round(z * 1e5))
        found = self.numbers.get(key)
        if found is None:
            found = self.numbers[key] = len(self.points)
            self.points.append(point)
        return found

    def raise_column(self, material: str, low: list[Point], high: list[Point]) -> None:
        """A prism or a brick between two polygons, given counter-clockwise from above."""
        self.volumes.setdefault(material, []).append([self.number(p) for p in (*low, *high)])

    def face(self, name: str, points: list[Point]) -> None:
        """A named piece of surface."""
        self.faces.setdefault(name, []).append([self.number(p) for p in points])

    def mesh(self) -> nm.Mesh:
        """The same as a mesh in metres, its points numbered by y, then z, then x.

        The basis on a face depends on the order of the numbers of its corners: numbered by place, a tongue
        meshed alone has on its root face the very basis that the whole drum has there.
        """
        points = np.array(self.points)
        x, y, z = np.round(points, 5).T
        order = np.lexsort((x, z, y))
        self._place = np.argsort(order)
        mesh = nm.Mesh()
        mesh.dim = 3
        mesh.AddPoints(points[order] * MM)
        for index, name in enumerate(self.faces, start=1):
            mesh.Add(nm.FaceDescriptor(bc=index, domin=1, surfnr=index))
            self._add(mesh, 2, index, self.faces[name])
            mesh.SetBCName(index - 1, name)
        for index, name in enumerate(self.volumes, start=1):
            self._add(mesh, 3, index, self.volumes[name])
            mesh.SetMaterial(index, name)
        return mesh

    def _add(self, mesh: nm.Mesh, dim: int, index: int, elements: list[list[int]]) -> None:
        for size in {len(element) for element in elements}:
            block = self._place[[e for e in elements if len(e) == size]].astype(np.int32)
            mesh.AddElements(dim=dim, index=index, data=block, base=0)


@dataclass(frozen=True)
class Quad:
    """One cell of the band over and in the walls, from above. `bar`: under it is a root bar, not a whole wall."""

    corners: tuple[tuple[float, float], ...]
    along: str
    carries_top: bool
    outer: str | None
    bar: bool = False

    def at(self, z: float) -> list[Point]:
        """The four corners at this height."""
        return [(x, y, z) for x, y in self.corners]


def build(drum: Drum, plan: Plan, *, layered: bool) -> nm.Mesh:
    """The solid of this drum, in metres: z = 0 at the top's underside. Bores need the top in two layers."""
    cells = Cells()
    raise_top(cells, plan, thickness_mm=drum.top.thickness_mm, layered=layered)
    _raise_band(cells, drum, plan, layered)
    return cells.mesh()


def raise_top(cells: Cells, plan: Plan, *, thickness_mm: float, layered: bool) -> None:
    """Prisms over the plan: one layer, or two with the boundary at the floor of each bore."""
    heights = _levels(plan, thickness_mm, layered)
    for triangle, region in zip(plan.triangles, plan.region, strict=True):
        name = plan.regions[region]
        levels = [[(*plan.points_mm[v], heights[v][k]) for v in triangle] for k in range(len(heights[0]))]
        floor = 1 if name.endswith(", bored") else 0
        for low, high in zip(levels[floor:-1], levels[floor + 1 :], strict=True):
            cells.raise_column(name.removesuffix(", bored"), low, high)
        cells.face(f"upper, {name.removesuffix(', bored')}", levels[-1])
        cells.face("under", levels[floor])


def _levels(plan: Plan, thickness_mm: float, layered: bool) -> list[tuple[float, ...]]:
    """The heights of the layers' boundaries over each point of the plan."""
    if not layered:
        return [(0.0, thickness_mm)] * len(plan.points_mm)
    usual = LOWER_LAYER * thickness_mm
    return [(0.0, float(floor) if floor > 0.0 else usual, thickness_mm) for floor in plan.floor_mm]


def wall_levels(glued_mm: float, height_mm: float, bar_mm: float = 0.0) -> list[float]:
    """Heights of the layers of a wall, from the glue down: thin under the glue, then longer.

    Where there is a root bar this high, one of them is its lower edge.
    """
    levels, step = [0.0], GLUE_LAYER * glued_mm
    while height_mm + levels[-1] > 1.7 * step:
        levels.append(levels[-1] - step)
        step *= LAYER_GROWTH
    levels.append(-height_mm)
    if 0.0 < bar_mm < height_mm:
        kept = [level for level in levels[1:-1] if abs(level + bar_mm) > 0.4 * min(glued_mm, bar_mm)]
        levels = sorted({0.0, *kept, -bar_mm, -height_mm}, reverse=True)
    return levels


@dataclass(frozen=True)
class Bands:
    """Where the band round the inside is parted, in mm outwards from it, on the long sides and at the ends.

    board: how many parts of each carry the top. bars: how many of the ends' parts are root bars.
    """

    sides: list[float]
    ends: list[float]
    board: tuple[int, int]
    bars: int


def _bands(drum: Drum) -> Bands:
    wall, ledge, bar = drum.box.wall_mm, drum.box.ledge_mm, drum.box.root_bar_mm
    sides = [0.0, wall] if drum.box.mount == "on walls" or wall <= ledge else [0.0, ledge, wall]
    if bar <= 0.0:
        return Bands(sides, sides, (1, 1), 0)
    return Bands(sides, [0.0, *(bar + offset for offset in sides)], (1, 2), 1)


def _raise_band(cells: Cells, drum: Drum, plan: Plan, layered: bool) -> None:
    """The rim of the top, the walls and the bottom."""
    bands, bar = _bands(drum), min(drum.box.root_bar_height_mm, drum.box.height_mm)
    levels = wall_levels(seat_mm(drum), drum.box.height_mm, bar if bands.bars else 0.0)
    thickness = drum.top.thickness_mm
    heights = (0.0, LOWER_LAYER * thickness, thickness) if layered else (0.0, thickness)
    quads = _band(plan, bands)
    for quad in quads:
        for low, high in pairwise(heights):
            material = "rim" if quad.carries_top else f"wall {quad.along}"
            cells.raise_column(material, quad.at(low), quad.at(high))
        cells.face("upper, rim", quad.at(heights[-1]))
        for high, low in pairwise(levels):
            if not quad.bar or low >= -bar - 1e-9:
                cells.raise_column(f"wall {quad.along}", quad.at(low), quad.at(high))
        if quad.outer:
            stack = [*reversed(levels[1:]), *heights]
            _outer_faces(cells, quad, stack)
    _close_below(cells, drum, plan, quads)


def _outer_faces(cells: Cells, quad: Quad, stack: list[float]) -> None:
    """The outer faces of one column of the band; the first two corners of the quad lie outermost."""
    (x0, y0), (x1, y1) = quad.corners[:2]
    for low, high in pairwise(stack):
        assert quad.outer is not None
        cells.face(quad.outer, [(x0, y0, low), (x1, y1, low), (x1, y1, high), (x0, y0, high)])


def _close_below(cells: Cells, drum: Drum, plan: Plan, quads: list[Quad]) -> None:
    """The lowest faces: of the walls, or of the bottom under them."""
    low = -drum.box.height_mm
    if drum.bottom is None:
        for quad in quads:
            if not quad.bar or drum.box.root_bar_height_mm >= drum.box.height_mm:
                cells.face("base", [(x, y, low) for x, y in quad.corners])
        return
    base = low - drum.bottom.thickness_mm
    pieces = [list(quad.corners) for quad in quads] + _inside(plan)
    for piece in pieces:
        cells.raise_column("bottom", [(x, y, base) for x, y in piece], [(x, y, low) for x, y in piece])
        cells.face("base", [(x, y, base) for x, y in piece])


def _inner_marks(plan: Plan) -> dict[str, NDArray[Any]]:
    """Where the plan's triangles meet the walls' inner faces, rising along each."""
    x0, y0, x1, y1 = plan.inner
    points, near = plan.points_mm, 1e-6
    return {
        "front": np.unique(points[abs(points[:, 1] - y0) < near, 0]),
        "back": np.unique(points[abs(points[:, 1] - y1) < near, 0]),
        "left": np.unique(points[abs(points[:, 0] - x0) < near, 1]),
        "right": np.unique(points[abs(points[:, 0] - x1) < near, 1]),
    }


def _band(plan: Plan, bands: Bands) -> list[Quad]:
    """The band round the inside: sides, ends and corners. Front and back walls run the full length."""
    x0, y0, x1, y1 = plan.inner
    marks = _inner_marks(plan)
    quads = []
    for place, (a, b) in enumerate(pairwise(bands.sides)):
        top, outer = place < bands.board[0], place == len(bands.sides) - 2
        for u, v in pairwise(marks["front"]):
            corners = ((u, y0 - b), (v, y0 - b), (v, y0 - a), (u, y0 - a))
            quads.append(Quad(corners, "x", top, "front" if outer else None))
        for u, v in pairwise(marks["back"]):
            corners = ((v, y1 + b), (u, y1 + b), (u, y1 + a), (v, y1 + a))
            quads.append(Quad(corners, "x", top, "back" if outer else None))
    for place, (a, b) in enumerate(pairwise(bands.ends)):
        top, outer, bar = place < bands.board[1], place == len(bands.ends) - 2, place < bands.bars
        for u, v in pairwise(marks["left"]):
            corners = ((x0 - b, v), (x0 - b, u), (x0 - a, u), (x0 - a, v))
            quads.append(Quad(corners, "y", top, "left" if outer else None, bar))
        for u, v in pairwise(marks["right"]):
            corners = ((x1 + b, u), (x1 + b, v), (x1 + a, v), (x1 + a, u))
            quads.append(Quad(corners, "y", top, "right" if outer else None, bar))
    return quads + _corners(plan, bands)


def _corners(plan: Plan, bands: Bands) -> list[Quad]:
    """The four corners of the band. The outer faces of corners are left unnamed: they hardly move."""
    x0, y0, x1, y1 = plan.inner
    quads = []
    for i, (a, b) in enumerate(pairwise(bands.ends)):
        for j, (c, d) in enumerate(pairwise(bands.sides)):
            top = i < bands.board[1] and j < bands.board[0]
            for xs in ((x0 - b, x0 - a), (x1 + a, x1 + b)):
                for ys in ((y0 - d, y0 - c), (y1 + c, y1 + d)):
                    corners = ((xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1]))
                    quads.append(Quad(corners, "x", top, None))
    return quads


def _inside(plan: Plan) -> list[list[tuple[float, float]]]:
    """The bottom between the walls, in triangles that meet the walls' bricks point to point."""
    x0, y0, x1, y1 = plan.inner
    marks = _inner_marks(plan)
    edge = [(x, y0) for x in marks["front"]] + [(x, y1) for x in marks["back"]]
    edge += [(x0, y) for y in marks["left"][1:-1]] + [(x1, y) for y in marks["right"][1:-1]]
    counts = [max(2, round(span / BOTTOM_MESH_MM)) for span in (x1 - x0, y1 - y0)]
    xs = np.linspace(x0, x1, counts[0] + 1)[1:-1]
    ys = np.linspace(y0, y1, counts[1] + 1)[1:-1]
    points = MultiPoint(edge + [(x, y) for x in xs for y in ys])
    triangles = [piece for piece in delaunay_triangles(points).geoms if piece.area > 1e-6]
    return [orient(piece).exterior.coords[:-1] for piece in triangles]
