"""The solid in bricks and prisms: as much wood as the drum has, and not a crack in it."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import netgen.occ as occ
import numpy as np
import pytest
import shapely

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline
from kerftone.drum.seat import seat_mm
from kerftone.modal.band import build, wall_levels
from kerftone.modal.plan import COLLAR_MM, Fineness, bore_rims, plan

FINENESS = Fineness()
FACES = {
    4: ((0, 1, 2), (0, 1, 3), (1, 2, 3), (2, 0, 3)),
    5: ((0, 1, 2, 3), (0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4)),
    6: ((0, 1, 2), (3, 4, 5), (0, 1, 4, 3), (1, 2, 5, 4), (2, 0, 3, 5)),
    8: ((0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)),
}
"""The faces of a tetrahedron, a pyramid, a prism and a brick."""


def as_meshed(drum: Drum) -> Outline:
    """The outline with the model's chords for curves."""
    return outline(drum, tolerance_mm=FINENESS.curve_mm, same_area=True)


@dataclass(frozen=True)
class Solid:
    """A mesh measured with nothing but its points: everything in mm."""

    drum: Drum
    mesh: Any

    @cached_property
    def points(self) -> Any:
        return np.array([tuple(point.p) for point in self.mesh.Points()]) * 1e3

    @cached_property
    def cells(self) -> list[tuple[str, list[int]]]:
        """The material and the corners of every prism and brick."""
        return [
            (self.mesh.GetMaterial(cell.index), [corner.nr - 1 for corner in cell.vertices])
            for cell in self.mesh.Elements3D()
        ]

    @cached_property
    def drawn(self) -> Outline:
        return as_meshed(self.drum)

    @cached_property
    def columns(self) -> list[tuple[str, float, Any]]:
        """The material, the area from above and the heights at the corners of each upright cell."""
        found = []
        for name, corners in self.cells:
            if not self.stands(corners):
                continue
            low, high = np.split(self.points[corners], 2)
            x, y = low[:, 0], low[:, 1]
            area = 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
            found.append((name, area, high[:, 2] - low[:, 2]))
        return found

    def stands(self, corners: list[int]) -> bool:
        """Whether a cell is an upright column, not one swept along a wall nor a pointed one."""
        if len(corners) < 6:
            return False
        low, high = np.split(self.points[corners], 2)
        return bool(np.allclose(low[:, :2], high[:, :2], atol=1e-9))

    def volume(self, *starts: str) -> float:
        """Of the materials whose names begin so; all cells are convex and their faces flat."""
        wanted = starts or ("",)
        return sum(self.size(corners) for name, corners in self.cells if name.startswith(wanted))

    def size(self, corners: list[int]) -> float:
        """The volume of a cell: its faces in triangles, each with the middle of the cell a tetrahedron."""
        middle = self.points[corners].mean(axis=0)
        found = 0.0
        for face in FACES[len(corners)]:
            first, *rest = self.points[[corners[k] for k in face]] - middle
            found += abs(sum(np.linalg.det(np.array([first, a, b])) for a, b in pairwise(rest))) / 6.0
        return float(found)

    def turned(self, corners: list[int]) -> float:
        """Above nought for a cell whose corners are in the order that the mesher wants."""
        base, tip = self.points[corners[:3]], self.points[corners[{4: 3, 5: 4, 6: 3, 8: 4}[len(corners)]]]
        return float(np.linalg.det(base - tip)) * (1.0 if len(corners) == 4 else -1.0)

    @cached_property
    def faces(self) -> dict[frozenset[int], list[list[int]]]:
        """Every face of every cell, by its corners."""
        found: dict[frozenset[int], list[list[int]]] = {}
        for _, corners in self.cells:
            for face in FACES[len(corners)]:
                ring = [corners[k] for k in face]
                found.setdefault(frozenset(ring), []).append(ring)
        return found

    def surface(self) -> float:
        """The area of all faces that belong to one cell only."""
        return sum(self.area(rings[0]) for rings in self.faces.values() if len(rings) == 1)

    def area(self, ring: list[int]) -> float:
        first, *rest = self.points[ring]
        fans = pairwise(rest)
        return sum(0.5 * float(np.linalg.norm(np.cross(a - first, b - first))) for a, b in fans)


def made(drum: Drum) -> Solid:
    return Solid(drum, build(drum, plan(drum, FINENESS), layered=bool(drum.bores)))


@pytest.fixture(scope="module")
def solid(drum: Drum) -> Solid:
    return made(drum)


def bored_mm3(drum: Drum) -> float:
    """The wood all bores together take, each depth counted once where they overlap."""
    rims = bore_rims(drum.bores, FINENESS.rim_sides)
    gone, reached = 0.0, 0.0
    for depth in sorted({bore.depth_mm for bore in drum.bores}):
        deep = [rim for bore, rim in zip(drum.bores, rims, strict=True) if bore.depth_mm >= depth]
        gone += shapely.union_all(deep).area * (depth - reached)
        reached = depth
    return gone


def walls_mm3(drum: Drum) -> float:
    """Four walls and the root bars; with the top let in, the walls reach up beside it, and down beside a lip."""
    drawn = as_meshed(drum)
    below = drawn.box_outer.difference(drawn.wall_inner).area * drum.box.height_mm
    below += 2.0 * bar_mm(drum)[0] * bar_mm(drum)[1] * drum.box.root_bar_height_mm
    pocket = drawn.board.buffer(open_mm(drum), join_style="mitre")
    if drum.box.mount == "in ledge":
        below += drawn.box_outer.difference(pocket).area * drum.top.thickness_mm
    bottom = drum.bottom
    if bottom is not None and bottom.fit == "on a lip":
        rabbet = drawn.wall_inner.buffer(bottom.lip_mm + bottom.clearance_mm, join_style="mitre")
        below += drawn.box_outer.difference(rabbet).area * (bottom.lip_thickness_mm + bottom.recess_mm)
    return float(below)


def open_mm(drum: Drum) -> float:
    """The gap of air round a top that is glued on its ledge alone."""
    return drum.box.clearance_mm if drum.box.mount == "in ledge" and drum.box.glued == "ledge" else 0.0


def hung_mm3(drum: Drum) -> float:
    """The wood that the rabbet round a top on a lip takes."""
    if drum.box.mount != "on a lip":
        return 0.0
    drawn = as_meshed(drum)
    return float(
        drawn.board.difference(body(drum)).area * (drum.top.thickness_mm - drum.top.lip_thickness_mm)
    )


def body(drum: Drum) -> Any:
    """What hangs between the walls of a top on a lip."""
    return as_meshed(drum).wall_inner.buffer(-drum.box.clearance_mm, join_style="mitre")


def bottom_mm3(drum: Drum) -> float:
    """The bottom: under the walls, or with a lip of its own."""
    bottom, drawn = drum.bottom, as_meshed(drum)
    if bottom is None:
        return 0.0
    if bottom.fit != "on a lip":
        return float(drawn.box_outer.area * bottom.thickness_mm)
    lip = drawn.wall_inner.buffer(bottom.lip_mm, join_style="mitre").area
    rest = drawn.wall_inner.buffer(-bottom.clearance_mm, join_style="mitre").area
    return float(lip * bottom.lip_thickness_mm + rest * (bottom.thickness_mm - bottom.lip_thickness_mm))


def bar_mm(drum: Drum) -> tuple[float, float]:
    """How long and wide a root bar is: as the box is wide inside, and 0 where there is none."""
    _, south, _, north = as_meshed(drum).wall_inner.bounds
    return north - south, drum.box.root_bar_mm


def down(drum: Drum) -> bool:
    """Whether the root bars reach the ground, or the bottom."""
    return drum.box.root_bar_height_mm == drum.box.height_mm


def test_top_walls_and_bottom_each_have_the_volume_they_are_drawn_with(solid: Solid) -> None:
    drum = solid.drum
    top = solid.drawn.top.area * drum.top.thickness_mm - bored_mm3(drum) - hung_mm3(drum)
    assert solid.volume("rim", "frame", "tongue") == pytest.approx(top, rel=1e-6)
    assert solid.volume("wall") == pytest.approx(walls_mm3(drum), rel=1e-9)
    assert solid.volume("bottom") == pytest.approx(bottom_mm3(drum), rel=1e-9)


def test_every_cell_is_the_right_way_round(solid: Solid) -> None:
    for _, area, heights in solid.columns:
        assert area > 1e-3
        assert heights.min() > 0.1
    for _, corners in solid.cells:
        assert solid.turned(corners) > 1e-3


def test_no_face_is_shared_by_more_than_two_cells(solid: Solid) -> None:
    assert max(map(len, solid.faces.values())) == 2


def surface_mm2(drum: Drum) -> float:
    """The area of everything air can touch, and of what the drum stands on."""
    drawn, t, height = as_meshed(drum), drum.top.thickness_mm, drum.box.height_mm
    inside, outside = drawn.box_inner, drawn.box_outer
    rims = bore_rims(drum.bores, FINENESS.rim_sides)
    floors = {bore.depth_mm for bore in drum.bores}
    over = drawn.top.area + outside.difference(drawn.board).area
    under = drawn.top.intersection(inside).area
    slots = (drawn.top.boundary.length - drawn.board.length) * t
    sides = outside.length * (t + height) + drawn.wall_inner.length * height
    # A bar's inner face stands for the wall it hides. Its ends hide as much of the side walls; its lower face is new.
    long, wide = bar_mm(drum)
    sides -= 4.0 * wide * drum.box.root_bar_height_mm
    lower = 2.0 * long * wide
    bores = sum(
        shapely.union_all([r for b, r in zip(drum.bores, rims, strict=True) if b.depth_mm == floor]).length
        * floor
        for floor in floors
    )
    if drum.bottom is None:
        below = outside.difference(drawn.wall_inner).area + lower
    else:
        below = outside.area + drawn.wall_inner.area + outside.length * drum.bottom.thickness_mm
        below += -lower if down(drum) else lower  # on the bottom it hides that, too
    return float(over + under + slots + sides + bores + below)


def kernel_surface_mm2(drum: Drum) -> float:
    """The same by the kernel of solids: parts joined into one, and the area of all its faces."""
    drawn, t, box, bottom = as_meshed(drum), drum.top.thickness_mm, drum.box, drum.bottom
    drop = t - drum.top.lip_thickness_mm if box.mount == "on a lip" else 0.0
    low = drop - box.height_mm
    whole = raised(drawn.top, 0.0, t)
    if drop:
        whole -= raised(drawn.board.buffer(1.0).difference(body(drum)), -1.0, drop)
    for bore, rim in zip(drum.bores, bore_rims(drum.bores, FINENESS.rim_sides), strict=True):
        whole -= raised(rim, -1.0, bore.depth_mm)
    ring = drawn.box_outer.difference(drawn.wall_inner)
    whole += raised(ring, low, drop)
    if box.mount == "in ledge":
        pocket = drawn.board.buffer(open_mm(drum), join_style="mitre")
        whole += raised(drawn.box_outer.difference(pocket), 0.0, t)
    x0, y0, x1, y1 = drawn.wall_inner.bounds
    wide = box.root_bar_mm
    for a, b in ((x0, x0 + wide), (x1 - wide, x1)) if wide else ():
        whole += raised(shapely.box(a, y0, b, y1), -box.root_bar_height_mm, 0.0)
    if bottom is not None and bottom.fit == "on a lip":
        lip, rest, rabbet = (
            drawn.wall_inner.buffer(by, join_style="mitre")
            for by in (bottom.lip_mm, -bottom.clearance_mm, bottom.lip_mm + bottom.clearance_mm)
        )
        under = low - bottom.lip_thickness_mm
        whole += raised(lip, under, low)
        whole += raised(rest, low, under + bottom.thickness_mm)
        whole += raised(drawn.box_outer.difference(rabbet), under - bottom.recess_mm, low)
    elif bottom is not None:
        whole += raised(drawn.box_outer, low - bottom.thickness_mm, low)
    return float(sum(face.mass for face in whole.faces))


def raised(shape: Any, low: float, high: float) -> Any:
    """A polygon with its holes, or several, from one height to another."""
    solids = []
    for part in getattr(shape, "geoms", (shape,)):
        faces = []
        for ring in (part.exterior, *part.interiors):
            corners = [occ.Pnt(x, y, low) for x, y in ring.coords[:-1]]
            sides = [occ.Segment(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True)]
            faces.append(occ.Face(occ.Wire(sides)))
        whole = faces[0]
        for hole in faces[1:]:
            whole = whole - hole
        solids.append(whole.Extrude((high - low) * occ.Z))
    return solids[0] if len(solids) == 1 else occ.Fuse(solids)


def test_the_mesh_has_no_crack_inside(solid: Solid) -> None:
    """Any crack, and any point of one cell on the side of another, would add surface that no drum has."""
    drum = solid.drum
    free = drum.box.mount == "on a lip" or open_mm(drum) or (drum.bottom and drum.bottom.fit == "on a lip")
    known_mm2 = kernel_surface_mm2(drum) if free else surface_mm2(drum)
    assert solid.surface() == pytest.approx(known_mm2, rel=2e-6)


def test_a_crack_would_be_seen(known: Any) -> None:
    """The check above must fail when one brick of a wall is parted from its neighbours."""
    solid = made(known["W1"].drum)
    cells = solid.cells
    number = next(k for k, (name, _) in enumerate(cells) if name == "wall x")
    loose = [corner + len(solid.points) for corner in cells[number][1]]
    object.__setattr__(solid, "points", np.vstack([solid.points, solid.points]))
    cells[number] = ("wall x", loose)
    assert solid.surface() > surface_mm2(solid.drum) * (1.0 + 1e-4)


def test_bores_in_steps_take_their_wood_but_for_the_slope_between_floors(stepped: Drum) -> None:
    """Where floors meet, the step is a slope as wide as the collar: no more than that may be missing."""
    solid = made(stepped)
    top = solid.drawn.top.area * stepped.top.thickness_mm
    taken = top - solid.volume("rim", "frame", "tongue")
    deepest = max(bore.depth_mm for bore in stepped.bores)
    steps = sum(math.pi * bore.diameter_mm for bore in stepped.bores)
    assert abs(taken - bored_mm3(stepped)) < 0.5 * COLLAR_MM * steps * deepest
    assert taken == pytest.approx(bored_mm3(stepped), rel=0.02)
    assert max(map(len, solid.faces.values())) == 2


def test_two_layers_weigh_as_much_as_one(known: Any) -> None:
    drum = known["W1"].drum
    cut = plan(drum, FINENESS)
    one, two = (Solid(drum, build(drum, cut, layered=layered)) for layered in (False, True))
    assert two.volume() == pytest.approx(one.volume(), rel=1e-12)
    assert two.surface() == pytest.approx(one.surface(), rel=1e-12)
    assert len(two.cells) > len(one.cells)


def named_mm2(solid: Solid) -> dict[str, float]:
    """The area of each named part of the surface."""
    found: Counter[str] = Counter()
    for piece in solid.mesh.Elements2D():
        name = solid.mesh.GetBCName(piece.index - 1)
        found[name] += solid.area([corner.nr - 1 for corner in piece.vertices])
    return dict(found)


def test_named_faces_are_where_their_names_say(solid: Solid) -> None:
    """The upper face whole, the underside inside the walls, and the face the drum stands on."""
    drawn, areas = solid.drawn, named_mm2(solid)
    upper = drawn.top.area + drawn.box_outer.difference(drawn.board).area  # gaps end on a ledge below
    assert sum(a for name, a in areas.items() if name.startswith("upper")) == pytest.approx(upper, rel=1e-6)
    assert areas["under"] == pytest.approx(drawn.top.intersection(drawn.box_inner).area, rel=1e-6)
    hollow = drawn.box_inner if down(solid.drum) else drawn.wall_inner
    stands = (drawn.box_outer if solid.drum.bottom else drawn.box_outer.difference(hollow)).area
    bottom = solid.drum.bottom
    if bottom is not None and bottom.fit == "on a lip":
        lip, rabbet = (
            drawn.wall_inner.buffer(by, join_style="mitre").area
            for by in (bottom.lip_mm, bottom.lip_mm + bottom.clearance_mm)
        )
        stands = drawn.box_outer.area - rabbet + (0.0 if bottom.recess_mm else lip)
        assert areas.get("below", 0.0) == pytest.approx(lip if bottom.recess_mm else 0.0)
    assert areas["base"] == pytest.approx(stands)


def test_each_tongue_has_its_own_part_of_the_upper_face(solid: Solid) -> None:
    areas = named_mm2(solid)
    for number, tongue in enumerate(solid.drawn.tongues, start=1):
        wood = tongue.intersection(solid.drawn.top)
        assert areas[f"upper, tongue {number}"] == pytest.approx(wood.area, rel=1e-6)


def test_every_named_face_is_a_face_of_just_one_cell(solid: Solid) -> None:
    faces = solid.faces
    for piece in solid.mesh.Elements2D():
        assert len(faces[frozenset(corner.nr - 1 for corner in piece.vertices)]) == 1


def test_the_underside_of_the_top_is_at_height_nought(solid: Solid) -> None:
    drum, bottom = solid.drum, solid.drum.bottom
    low = -drum.box.height_mm
    if drum.box.mount == "on a lip":
        low += drum.top.thickness_mm - drum.top.lip_thickness_mm
    if bottom is not None:
        low -= bottom.lip_thickness_mm + bottom.recess_mm if bottom.fit == "on a lip" else bottom.thickness_mm
    assert solid.points[:, 2].min() == pytest.approx(low)
    assert solid.points[:, 2].max() == pytest.approx(drum.top.thickness_mm)
    if drum.box.mount != "on a lip":
        over = np.unique(solid.points[solid.points[:, 2] > -1e-9, 2])
        assert over[0] == 0.0


def test_layers_of_a_wall_grow_from_the_glue_down_and_reach_the_floor() -> None:
    for glued, height in ((12.0, 95.0), (6.0, 80.0), (18.0, 40.0), (20.0, 15.0)):
        levels = np.array(wall_levels(glued, height))
        steps = -np.diff(levels)
        assert levels[0] == 0.0 and levels[-1] == -height
        assert np.all(steps > 0.0)
        assert np.all(steps[1:-1] > steps[:-2])


def test_the_lower_edge_of_a_root_bar_is_a_layer_and_no_layer_is_thin() -> None:
    for glued, height in ((12.0, 95.0), (6.0, 80.0), (18.0, 40.0)):
        for bar in np.linspace(15.0, height, 23):
            levels = np.array(wall_levels(glued, height, float(bar)))
            assert levels[0] == 0.0 and levels[-1] == -height
            assert np.any(np.isclose(levels, -bar))
            within = levels[levels >= -bar - 1e-9]
            assert -np.diff(within).max() > 0.3 * glued
            assert np.all(np.diff(levels) < 0.0)


def test_a_narrow_ledge_leaves_board_and_wall_side_by_side(known: Any) -> None:
    """The band over the ledge is board, the rest wall, up to the upper face."""
    drum = known["W2"].drum
    narrow = replace(drum, box=replace(drum.box, ledge_mm=2.0))
    solid = made(narrow)
    rim = solid.drawn.board.difference(solid.drawn.box_inner).area * narrow.top.thickness_mm
    assert solid.volume("rim") == pytest.approx(rim)
    assert seat_mm(narrow) == 2.0
