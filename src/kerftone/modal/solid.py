"""The whole drum as prisms and bricks: the top raised from its plan, walls and bottom hung under it.

The top inside the walls is one layer of prisms, or two where any bore has been made: the boundary between
the layers dips to the floor of each bore. Where the top has a lip, its body's edge is parted at the lip's underside;
with one layer, pyramids and tetrahedra fill what is below that and run out to nothing at the next points inwards.
Over the walls, and in them, the mesh is bricks (`band.py`). Built in mm, handed over in m.

Materials: the plan's regions, "rim" (the top over the walls), "wall x" and "wall y" (which run along x and
y) and "bottom". Boundaries: "upper, " and the name of the wood under it, "under" (the top's underside inside
the walls), "base" (the lowest faces), "below" (the underside of a bottom that is not lowest), and the outer faces
"front", "back", "left", "right".
"""

from __future__ import annotations

from dataclasses import dataclass, field

import netgen.meshing as nm
import numpy as np
from numpy.typing import NDArray

from kerftone.modal.plan import Plan

Point = tuple[float, float, float]
MM = 1e-3
"""Metres in a millimetre."""
LOWER_LAYER = 0.3
"""Where there are two layers, the lower one is this share of the thickness away from bores."""
EDGE_MM = 1e-6
"""Rounding, in mm: a point nearer to the edge is on it."""


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
        """A prism or a brick between two polygons, counter-clockwise from above; or a pyramid, or a tetrahedron.

        Parameters
        ----------
        material : str
            What it is made of.
        low : list[Point]
            The lower polygon, in mm, counter-clockwise from above.
        high : list[Point]
            The upper one, the same; either may have fewer corners, for a pyramid or a tetrahedron.
        """
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


def raise_top(
    cells: Cells, plan: Plan, *, thickness_mm: float, layered: bool, lip_mm: float | None = None
) -> None:
    """Prisms over the plan: one layer, or two with the boundary at the floor of each bore.

    Parameters
    ----------
    cells : Cells
        Where the solid is put together; added to.
    plan : Plan
        The meshed plan of the top, in mm.
    thickness_mm : float
        Of the top, in mm.
    layered : bool
        Whether it is in two layers, with the boundary at the floor of each bore.
    lip_mm : float, optional
        The height at which the plan's outer edge is parted, in mm, where a lip begins there.
    """
    lower = _lower_levels(plan, thickness_mm, layered, lip_mm)
    for triangle, region in zip(plan.triangles, plan.region, strict=True):
        name = plan.regions[region]
        wood, bored = name.removesuffix(", bored"), name.endswith(", bored")
        places = [(float(x), float(y)) for x, y in plan.points_mm[triangle]]
        between = [float(lower[v]) for v in triangle]
        base, middle, upper = (
            [(*place, z) for place, z in zip(places, heights, strict=True)]
            for heights in ((0.0,) * 3, between, (thickness_mm,) * 3)
        )
        cells.raise_column(wood, middle, upper)
        if not bored:
            fill_below(cells, wood, base, middle)
        cells.face(f"upper, {wood}", upper)
        cells.face("under", middle if bored else base)


def fill_below(cells: Cells, wood: str, low: list[Point], high: list[Point]) -> None:
    """The wood between two triangles, counter-clockwise from above, that may meet at corners.

    Parameters
    ----------
    cells : Cells
        The mesh under construction.
    wood : str
        What it is of.
    low : list[Point]
        The corners of the lower triangle, in mm.
    high : list[Point]
        The corners of the upper triangle, in mm.
    """
    apart = [at for at in range(3) if high[at][2] > low[at][2]]
    if len(apart) == 3:
        cells.raise_column(wood, low, high)
    elif len(apart) == 2:  # a pyramid on the upright side between the two
        tip = 3 - sum(apart)
        a, b = (tip + 1) % 3, (tip + 2) % 3
        cells.raise_column(wood, [low[b], low[a], high[a], high[b]], [low[tip]])
    elif apart:
        cells.raise_column(wood, [low[1], low[0], low[2]], [high[apart[0]]])


def _lower_levels(
    plan: Plan, thickness_mm: float, layered: bool, lip_mm: float | None
) -> NDArray[np.floating]:
    """The height of the boundary between the layers over each point of the plan; 0 where there is one layer."""
    floor = plan.floor_mm
    lower = np.where(floor > 0.0, floor, LOWER_LAYER * thickness_mm) if layered else np.zeros(len(floor))
    if lip_mm is not None:
        x0, y0, x1, y1 = plan.inner
        x, y = plan.points_mm.T
        edge = np.minimum(np.minimum(x - x0, x1 - x), np.minimum(y - y0, y1 - y)) < EDGE_MM
        lower = np.where(edge, lip_mm, lower)
    return lower
