"""The box's parts as solids, cut from their blanks by the shop's own table of joints.

Each wall is made as it is at the saw, lying in its own frame (u along, v in from the outer face, s up from the lower
edge): ends first, then rabbets, foot relief and holes; then stood in the box, its corners slotted and the keys
put in. mm, in the drum's frame: x along the length, y across from the front edge, z up from the top's underside.

What the shop's table says and nothing else: a gap or an overlap between these solids is one in the wood. The
round-over of the outer edges is left to the router. In `modal` because only this room knows the kernel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Any

from kerftone.drum.arcs import ClosedPath, Point, middle_of_arc
from kerftone.drum.corners import end_of
from kerftone.drum.joinery import Box, Rabbet, RootBar, Wall, WallHole

OVER_MM = 1.0
"""Cutters reach this far beyond the wood, so that no skin stays."""


def box_solids(box: Box) -> dict[str, Any]:
    """Walls, root bars, bottom and keys by name, where they stand under (or round) the top.

    Held by tests/shop/test_box.py: they fill the envelope and never overlap, for every joint, mount and bottom.
    """
    import netgen.occ as occ

    solids = {f"wall {wall.name}": _placed(box, wall, wall_solid(wall)) for wall in box.walls}
    solids |= {
        f"root bar {wall.name}": _placed(box, wall, _bar_solid(wall, wall.root_bar))
        for wall in box.walls
        if wall.root_bar is not None
    }
    if box.bottom_mm is not None:
        solids["bottom"] = _bottom(box, box.bottom_mm)
    if box.key_depth_mm:
        _put_in_keys(box, solids)
    down = occ.Vec(-box.offset_mm, -box.offset_mm, -box.flush_mm)
    moved = {name: solid.Move(down) for name, solid in solids.items()}
    for name, solid in moved.items():
        solid.name = name
    return moved


def _bottom(box: Box, size_mm: tuple[float, float, float]) -> Any:
    """The bottom; with a lip it is thinner all round, from above."""
    length, width, thick = size_mm
    x, y, low = 0.5 * (box.length_mm - length), 0.5 * (box.width_mm - width), box.bottom_low_mm
    step = box.bottom_step
    holes = [
        _through_bottom(cut.path, (x, y, low - OVER_MM), thick + 2.0 * OVER_MM) for cut in box.bottom_holes
    ]
    if step is None:
        return _less(_brick((x, y, low), (length, width, thick)), holes)
    inside = (length - 2.0 * step.width_mm, width - 2.0 * step.width_mm, thick)
    lip = _brick((x, y, low), (length, width, step.left_mm))
    return _less(lip + _brick((x + step.width_mm, y + step.width_mm, low), inside), holes)


def _less(solid: Any, cutters: Iterable[Any]) -> Any:
    """A solid with all of these taken out."""
    for cutter in cutters:
        solid = solid - cutter
    return solid


def _through_bottom(path: ClosedPath, corner: tuple[float, float, float], high: float) -> Any:
    """A sound hole in the bottom, upright from below its board's left front corner."""
    import netgen.occ as occ

    x, y, z = corner
    return _face(path, lambda point: occ.Pnt(x + point[0], y + point[1], z)).Extrude(occ.Vec(0.0, 0.0, high))


def wall_solid(wall: Wall) -> Any:
    """One wall in its own frame."""
    solid = _brick((0.0, 0.0, 0.0), (wall.length_mm, wall.thickness_mm, wall.height_mm))
    cutters = [*_end_cutters(wall), *(_step(wall, rabbet) for rabbet in wall.rabbets)]
    relief = wall.relief_path()
    if relief is not None:
        cutters.append(_relief(wall, relief))
    cutters += [cutter for hole in wall.holes for cutter in _bits(wall, hole)]
    cutters += [_through_wall(wall, cut.path) for cut in wall.sound_holes]
    return _less(solid, cutters)


def _bar_solid(wall: Wall, bar: RootBar) -> Any:
    """A root bar in the frame of its wall: a plain stick."""
    length, high, thick = bar.size_mm
    return _brick((bar.from_mm, wall.thickness_mm, bar.low_mm), (length, thick, high))


def _end_cutters(wall: Wall) -> Iterable[Any]:
    """What the corner takes from both ends of a wall, reaching beyond the wood on all sides but those that stay."""
    long, thick, high = wall.length_mm, wall.thickness_mm, wall.height_mm
    for cut in end_of(wall).cuts(wall):
        (u, v), (end, _) = cut.profile_mm[-2:]
        reach = thick + OVER_MM
        beyond = end + (end - u) * OVER_MM / (thick - v)
        corners = [(u, v if v > 0.0 else -OVER_MM * (u == end)) for u, v in cut.profile_mm[:-1]]
        corners += [(beyond, reach), (-OVER_MM, reach), (-OVER_MM, corners[0][1])]
        for points in (corners, [(long - u, v) for u, v in reversed(corners)]):
            for low, top in cut.heights_mm:
                below, above = OVER_MM * (low <= 0.0), OVER_MM * (top >= high)
                yield _prism(points, low - below, top - low + below + above)


def _step(wall: Wall, rabbet: Rabbet) -> Any:
    low = wall.height_mm - rabbet.depth_mm if rabbet.edge == "upper" else -OVER_MM
    return _brick(
        (rabbet.from_mm, wall.thickness_mm - rabbet.width_mm, low),
        (rabbet.to_mm - rabbet.from_mm, rabbet.width_mm + OVER_MM, rabbet.depth_mm + OVER_MM),
    )


def _relief(wall: Wall, path: ClosedPath) -> Any:
    """The cut-out, through the whole thickness, its arch a true arc; open below."""
    import netgen.occ as occ

    def at(point: Point) -> Any:
        return occ.Pnt(point[0], -OVER_MM, point[1])

    pieces = path.pieces()
    (first, *_), (last, *_) = pieces[0], pieces[-1]
    edges = []
    for start, end, bulge in pieces[:-1]:  # the last runs back along the lower edge
        arc = bulge and occ.ArcOfCircle(at(start), at(middle_of_arc(start, end, bulge)), at(end))
        edges.append(arc or occ.Segment(at(start), at(end)))
    below = [last, (last[0], -OVER_MM), (first[0], -OVER_MM), first]
    edges += [occ.Segment(at(a), at(b)) for a, b in pairwise(below)]
    face = occ.Face(occ.Wire(edges))
    return face.Extrude(occ.Vec(0.0, wall.thickness_mm + 2.0 * OVER_MM, 0.0))


def _through_wall(wall: Wall, path: ClosedPath) -> Any:
    """A sound hole, through the whole thickness of a wall."""
    import netgen.occ as occ

    face = _face(path, lambda point: occ.Pnt(point[0], -OVER_MM, point[1]))
    return face.Extrude(occ.Vec(0.0, wall.thickness_mm + 2.0 * OVER_MM, 0.0))


def _face(path: ClosedPath, at: Callable[[Point], Any]) -> Any:
    """The area in a path, its arcs true."""
    import netgen.occ as occ

    edges = [
        (bulge and occ.ArcOfCircle(at(start), at(middle_of_arc(start, end, bulge)), at(end)))
        or occ.Segment(at(start), at(end))
        for start, end, bulge in path.pieces()
    ]
    return occ.Face(occ.Wire(edges))


def _bits(wall: Wall, hole: WallHole) -> Iterable[Any]:
    """The bits that bore this hole and its counterbore from inside."""
    import netgen.occ as occ

    through = wall.thickness_mm + 2.0 * OVER_MM
    yield occ.Cylinder(occ.Pnt(hole.u_mm, -OVER_MM, hole.s_mm), occ.Y, r=0.5 * hole.diameter_mm, h=through)
    if hole.deep_mm:
        start = occ.Pnt(hole.u_mm, wall.thickness_mm - hole.deep_mm, hole.s_mm)
        yield occ.Cylinder(start, occ.Y, r=0.5 * hole.wide_mm, h=hole.deep_mm + OVER_MM)


def _placed(box: Box, wall: Wall, solid: Any) -> Any:
    """The wall where it stands: its outer face on the outer rectangle."""
    import netgen.occ as occ

    long_one = wall.name in ("front", "back")
    back = 0.5 * ((box.length_mm if long_one else box.width_mm) - wall.length_mm)
    turn, x, y = {
        "front": (0, back, 0.0),
        "back": (180, box.length_mm - back, box.width_mm),
        "right": (90, box.length_mm, back),
        "left": (-90, 0.0, box.width_mm - back),
    }[wall.name]
    turned = solid.Rotate(occ.Axis(occ.Pnt(0, 0, 0), occ.Z), turn) if turn else solid
    return turned.Move(occ.Vec(x, y, 0.0))


def _put_in_keys(box: Box, solids: dict[str, Any]) -> None:
    """Slot the corners and fill the slots with keys trimmed flush."""
    leg, thick = box.key_leg_mm, box.key_thick_mm
    for along, x, dx in (("left", 0.0, 1.0), ("right", box.length_mm, -1.0)):
        for across, y, dy in (("front", 0.0, 1.0), ("back", box.width_mm, -1.0)):
            points = [(x, y), (x + dx * leg, y), (x, y + dy * leg)]
            for number, middle in enumerate(box.walls[0].key_heights_mm, start=1):
                low = middle - 0.5 * thick
                key = _prism(points if dx * dy > 0.0 else points[::-1], low, thick)
                for name in (f"wall {across}", f"wall {along}"):
                    solids[name] = solids[name] - key
                solids[f"key {across} {along} {number}"] = key


def _brick(corner: tuple[float, float, float], size: tuple[float, float, float]) -> Any:
    import netgen.occ as occ

    far = (at + along for at, along in zip(corner, size, strict=True))
    return occ.Box(occ.Pnt(*corner), occ.Pnt(*far))


def _prism(corners: list[Point], low_mm: float, height_mm: float) -> Any:
    """An upright prism over a polygon given counter-clockwise."""
    import netgen.occ as occ

    points = [occ.Pnt(x, y, low_mm) for x, y in corners]
    edges = [occ.Segment(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)]
    return occ.Face(occ.Wire(edges)).Extrude(occ.Vec(0.0, 0.0, height_mm))
