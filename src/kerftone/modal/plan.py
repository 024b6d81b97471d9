"""The plan of the top, cut into triangles: what lies inside the inner faces of the walls.

Everything in the top is upright: slots, tongue ends and bores go straight through or up, so a plan cut
into triangles and raised into prisms is the whole solid. Stresses peak without bound at the sharp
ends of the slots; the triangles shrink towards each such corner and grow quickly away from it.

Lengths in mm. `solid.py` raises the plan into three dimensions and adds the walls.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
import shapely.affinity
from netgen.geom2d import SplineGeometry
from netgen.libngpy._meshing import NgException
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import Outline, outline
from kerftone.errors import OutlineError
from kerftone.modal.strip import strip_mm

FRAME = "frame"
SNAP_MM = 1e-4
"""Points nearer than this are one: rounding of polygons."""
ASIDE_MM = 3.71e-6
"""Shapes are moved by this before their points are put on the grid of `SNAP_MM`. Half of the fractions of an inch lie
half way between two lines of that grid, where of two edges in one place the one would go up and the other down."""
SLIVER_MM = 0.01
"""Faces no wider than twice this are what rounding leaves beside a tongue's tip, and would hang the mesher."""
COLLAR_MM = 0.6
"""Where one bore's rim lies in another's floor, the step between them is this wide."""

SMALLER = (1.0, 0.9, 0.8, 0.7, 0.55, 0.4)
"""The sizes and the growth of triangles that are tried one after the other, as shares of what is asked for."""
STRIP_GROWTH = 2.5
"""How much wider each strip of a tongue meshed alone is than the last, from the root on."""


@dataclass(frozen=True, kw_only=True)
class Fineness:
    """How finely the plan is cut: at corners as a share of the kerf, at most, and the growth between.

    wall_mm: the longest side of a triangle on the end walls' inner faces, which the roots lean on. curve_mm: how
    far the chords of a curve may stray from it. order: of the finer of the two solves.
    """

    corner_kerfs: float = 1.0 / 3.0
    largest_mm: float = 60.0
    grading: float = 0.8
    wall_mm: float = 20.0
    rim_sides: int = 12
    curve_mm: float = 0.15
    order: int = 3


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Triangles of the wood inside the walls, seen from above.

    points_mm (p, 2); triangles (t, 3), counter-clockwise; region (t,) an index into `regions`: "frame",
    "tongue 1" and so on, with ", bored" added over a bore. floor_mm (p,): how deep the deepest bore is at a
    point, 0 where there is none.
    """

    points_mm: NDArray[np.floating[Any]]
    triangles: NDArray[np.integer[Any]]
    region: NDArray[np.integer[Any]]
    regions: tuple[str, ...]
    floor_mm: NDArray[np.floating[Any]]
    inner: tuple[float, float, float, float]


def tongue_region(number: int) -> str:
    """The name of a tongue's wood in the mesh; numbers from 0."""
    return f"tongue {number + 1}"


def bored(region: str) -> str:
    """The name of the wood that a bore takes away in this region."""
    return f"{region}, bored"


def plan(drum: Drum, fineness: Fineness) -> Plan:
    """Cut the top of this drum, as far as the inner faces of its walls, into triangles.

    The frame is cut without regard to the tongues, and each tongue to the marks the frame has on its root
    line: a tongue that changes leaves the triangles of all the rest as they were.
    """
    drawn = outline(drum, tolerance_mm=fineness.curve_mm, same_area=True)
    inner = drawn.box_inner.buffer(-strip_mm(drum), join_style="mitre")
    wood = _areas(drawn.top.intersection(inner))
    rest = _areas(_aside(wood).difference(_aside(shapely.union_all(drawn.tongues)), grid_size=SNAP_MM))
    roots = [root_line(drawn, number) for number in range(len(drawn.tongues))]
    rims = bore_rims(drum.bores, fineness.rim_sides)
    faces, names = _faces(rest, [*_marked_ends(rest, inner, fineness.wall_mm), *roots], drawn, rims)
    frame = _mesh_faces(
        faces,
        names,
        corners=sharp_corners(wood),
        corner_mm=fineness.corner_kerfs * drum.slots.kerf_mm,
        fineness=fineness,
        bores=drum.bores,
    )
    marks = [root_marks(frame, root) for root in roots]
    tongues = [plan_tongue(drum, number, ys, fineness) for number, ys in enumerate(marks)]
    return _joined([frame, *tongues])


def _aside(shape: Any) -> Any:
    """This shape where it is put on the grid from: see ASIDE_MM."""
    return shapely.affinity.translate(shape, ASIDE_MM, ASIDE_MM)


def _areas(found: Any) -> Any:
    """What has an area of this: where edges meet, lines may be left over beside it."""
    polygons = [part for part in shapely.get_parts(found) if part.geom_type == "Polygon"]
    return polygons[0] if len(polygons) == 1 else MultiPolygon(polygons)


def root_marks(frame: Plan, root: LineString) -> NDArray[np.floating[Any]]:
    """Where the frame's triangles have corners on this root line: y in mm, rising."""
    (x, low), (_, high) = root.coords
    points = frame.points_mm
    on = (abs(points[:, 0] - x) < SNAP_MM) & (points[:, 1] > low - SNAP_MM) & (points[:, 1] < high + SNAP_MM)
    return np.sort(points[on, 1])


def _joined(pieces: list[Plan]) -> Plan:
    """Several plans as one. Points in common are found by place when the solid is built."""
    names = tuple(dict.fromkeys(name for piece in pieces for name in piece.regions))
    starts = np.cumsum([0, *(len(piece.points_mm) for piece in pieces[:-1])])
    return Plan(
        points_mm=np.concatenate([piece.points_mm for piece in pieces]),
        triangles=np.concatenate([p.triangles + start for p, start in zip(pieces, starts, strict=True)]),
        region=np.concatenate(
            [np.array([names.index(name) for name in piece.regions])[piece.region] for piece in pieces]
        ),
        regions=names,
        floor_mm=np.concatenate([piece.floor_mm for piece in pieces]),
        inner=pieces[0].inner,
    )


def bore_rims(bores: Iterable[Bore], sides: int) -> list[Polygon]:
    """Each bore as a regular polygon of the same area, so that it takes away the same volume."""
    rims = []
    for bore in bores:
        radius = 0.5 * bore.diameter_mm * math.sqrt(2 * math.pi / sides / math.sin(2 * math.pi / sides))
        turns = [2 * math.pi * (side + 0.3) / sides for side in range(sides)]
        rims.append(
            Polygon([(bore.x_mm + radius * math.cos(a), bore.y_mm + radius * math.sin(a)) for a in turns])
        )
    return rims


def _collars(rims: list[Polygon]) -> list[Any]:
    """A second line round each rim where it lies in another bore."""
    found = []
    for rim in rims:
        for other in rims:
            if other is not rim and rim.intersects(other):
                ring = rim.buffer(COLLAR_MM, join_style="mitre").exterior
                found.append(ring.intersection(other))
    return found


def plan_tongue(drum: Drum, number: int, root_ys_mm: NDArray[Any], fineness: Fineness) -> Plan:
    """Cut one tongue alone into triangles, its root line at these marks and no others.

    In strips across, narrow at the root and growing towards the tip: the marks on the root line are kept to
    the letter, which no mesher with a will of its own promises.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    root_ys_mm : Array
        The marks on its root line, y, in mm.
    fineness : Fineness
        How fine the mesh is, and the order of its elements.
    """
    drawn = outline(drum, tolerance_mm=fineness.curve_mm, same_area=True)
    # Less the stop holes.
    wood = _areas(_aside(drawn.tongues[number]).intersection(_aside(drawn.top), grid_size=SNAP_MM))
    tongue = drum.tongues[number]
    assert tongue.side is not None and tongue.length_mm is not None
    every = zip(drum.bores, bore_rims(drum.bores, fineness.rim_sides), strict=True)
    bores = tuple(bore for bore, rim in every if rim.intersects(wood))
    rims = bore_rims(bores, fineness.rim_sides)
    x, _ = _snapped((drawn.layout.root_mm(tongue.side), 0.0))
    way = 1.0 if tongue.side == "left" else -1.0
    marks = LineString([(x, y) for y in root_ys_mm])
    _, low, _, high = wood.bounds
    corner = fineness.corner_kerfs * drum.slots.kerf_mm
    cuts = [
        shapely.segmentize(LineString([(x + way * reach, low), (x + way * reach, high)]), width)
        for reach, width in _strips(corner, tongue.length_mm, fineness.largest_mm)
    ]
    inside = [cut.intersection(wood).difference(shapely.union_all(rims)) for cut in cuts]
    faces, names = _faces(wood, [wood.boundary.difference(marks), marks, *inside], drawn, rims)
    cut = _triangulated(faces, names, fineness=fineness, bores=bores)
    on = np.flatnonzero(abs(cut.points_mm[:, 0] - x) < SNAP_MM)
    assert len(on) == len(root_ys_mm), "the marks on the root line must be kept"
    rising = on[np.argsort(cut.points_mm[on, 1])]
    cut.points_mm[rising] = np.column_stack([np.full(len(on), x), root_ys_mm])
    return cut


def _strips(corner_mm: float, length_mm: float, largest_mm: float) -> list[tuple[float, float]]:
    """Where to cut a tongue across, from the root, and how far apart marks on that cut may be, mm."""
    reach, step, found = 0.0, STRIP_GROWTH * corner_mm, []
    while reach + 1.5 * step < length_mm:
        reach += step
        step = min(STRIP_GROWTH * step, 0.75 * largest_mm)
        found.append((reach, max(step, 0.3 * reach)))
    return found


def _triangulated(
    faces: list[Polygon], names: list[str], *, fineness: Fineness, bores: tuple[Bore, ...]
) -> Plan:
    """The faces in triangles between their corners, no new point added."""
    numbers: dict[tuple[int, int], int] = {}
    points: list[tuple[float, float]] = []
    triangles, region = [], []
    regions = tuple(dict.fromkeys(names))
    for face, name in zip(faces, names, strict=True):
        for piece in shapely.constrained_delaunay_triangles(face).geoms:
            corners = []
            for x, y in shapely.geometry.polygon.orient(piece).exterior.coords[:-1]:
                key = (round(x / SNAP_MM), round(y / SNAP_MM))
                if key not in numbers:
                    numbers[key] = len(points)
                    points.append((x, y))
                corners.append(numbers[key])
            triangles.append(corners)
            region.append(regions.index(name))
    places = np.array(points)
    return Plan(
        points_mm=places,
        triangles=np.array(triangles),
        region=np.array(region),
        regions=regions,
        floor_mm=floor_at(places, bores, fineness.rim_sides),
        inner=shapely.union_all(faces).bounds,
    )


def _faces(
    wood: Any, edges: list[Any], drawn: Outline, rims: list[Polygon]
) -> tuple[list[Polygon], list[str]]:
    """The wood parted along these edges and the rims of the bores, each piece with its region's name."""
    lines = [*edges, *(rim.exterior for rim in rims), *_collars(rims)]
    net = shapely.union_all([_aside(line) for line in lines], grid_size=SNAP_MM)
    faces = [
        shapely.geometry.polygon.orient(face)
        for face in shapely.polygonize([net]).geoms
        if wood.contains(face.representative_point()) and not face.buffer(-SLIVER_MM).is_empty
    ]
    return faces, [_region(face.representative_point(), drawn.tongues, rims) for face in faces]


def _marked_ends(wood: Any, inner: Polygon, longest_mm: float) -> list[Any]:
    """The wood's edge, marked along the inner faces of the end walls so that no side there is too long."""
    x0, y0, x1, y1 = inner.bounds
    ends = [LineString([(x, y0), (x, y1)]) for x in (x0, x1)]
    rest = wood.boundary.difference(shapely.union_all(ends))
    return [rest, *(shapely.segmentize(end, longest_mm) for end in ends)]


def _region(inside: Point, tongues: tuple[Polygon, ...], rims: list[Polygon]) -> str:
    found = [tongue_region(number) for number, tongue in enumerate(tongues) if tongue.contains(inside)]
    name = found[0] if found else FRAME
    return bored(name) if any(rim.contains(inside) for rim in rims) else name


def sharp_corners(wood: Any) -> set[tuple[float, float]]:
    """The corners at which the wood turns by more than 30° the wrong way: the ends of the slots."""
    found = set()
    for polygon in getattr(wood, "geoms", [wood]):
        turned = shapely.geometry.polygon.orient(polygon)
        for ring in (turned.exterior, *turned.interiors):
            points = np.array(ring.coords)[:-1]
            before = points - np.roll(points, 1, axis=0)
            after = np.roll(points, -1, axis=0) - points
            cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
            angle = np.arctan2(cross, (before * after).sum(axis=1))
            found |= {_snapped(p) for p in points[angle < -math.radians(30)]}
    return found


def _snapped(point: Iterable[float]) -> tuple[float, float]:
    x, y = (round((float(at) + ASIDE_MM) / SNAP_MM) * SNAP_MM for at in point)
    return x, y


def _mesh_faces(
    faces: list[Polygon],
    names: list[str],
    *,
    corners: set[tuple[float, float]],
    corner_mm: float,
    fineness: Fineness,
    bores: tuple[Bore, ...],
) -> Plan:
    """Cut polygons that share their edges into triangles that do."""
    geometry = SplineGeometry()
    numbers: dict[tuple[float, float], int] = {}

    def number(point: tuple[float, float]) -> int:
        key = _snapped(point)
        if key not in numbers:
            size = corner_mm if key in corners else 1e9
            numbers[key] = geometry.AppendPoint(*key, maxh=size)
        return numbers[key]

    sides: dict[tuple[int, int], list[int]] = {}
    for face, polygon in enumerate(faces, start=1):
        for ring in (polygon.exterior, *polygon.interiors):
            ids = [number(point) for point in ring.coords]
            for a, b in pairwise(ids):
                if (b, a) in sides:
                    sides[b, a][1] = face
                else:
                    sides[a, b] = [face, 0]
    for (a, b), (left, right) in sides.items():
        geometry.Append(["line", a, b], leftdomain=left, rightdomain=right)
    mesh = _cut(geometry, fineness)
    points = np.array([tuple(point.p)[:2] for point in mesh.Points()])
    triangles = np.array([[vertex.nr - 1 for vertex in e.vertices] for e in mesh.Elements2D()])
    regions = tuple(dict.fromkeys(names))
    of_face = np.array([regions.index(name) for name in names])
    bounds = shapely.union_all(faces).bounds
    return Plan(
        points_mm=points,
        triangles=triangles,
        region=of_face[np.array([e.index for e in mesh.Elements2D()]) - 1],
        regions=regions,
        floor_mm=floor_at(points, bores, fineness.rim_sides),
        inner=bounds,
    )


def _cut(geometry: SplineGeometry, fineness: Fineness) -> Any:
    """The mesher's triangles for this geometry, smaller ones where it finds none; else raises OutlineError."""
    for smaller in SMALLER:
        try:
            return geometry.GenerateMesh(
                maxh=smaller * fineness.largest_mm, grading=smaller * fineness.grading
            )
        except NgException:
            continue
    raise OutlineError(
        "The top of this drum could not be cut into cells for the model. A margin, the kerf or a length a tenth of a "
        "millimetre longer or shorter mends that."
    )


def floor_at(points: NDArray[Any], bores: Iterable[Bore], sides: int) -> NDArray[np.floating[Any]]:
    """How deep the deepest bore is at each point (p, 2), in mm; rims, as they are meshed, count as inside.

    Parameters
    ----------
    points : Array
        (p, 2), in mm.
    bores : Iterable[Bore]
        In mm.
    sides : int
        Of the polygon that a rim is meshed as.
    """
    made, deep = tuple(bores), np.zeros(len(points))
    for bore, rim in zip(made, bore_rims(made, sides), strict=True):
        inside = shapely.contains_xy(rim.buffer(10 * SNAP_MM), points[:, 0], points[:, 1])
        deep[inside] = np.maximum(deep[inside], bore.depth_mm)
    return deep


def root_line(drawn: Outline, number: int) -> LineString:
    """The root of a tongue, from its front edge to its back edge."""
    coordinates = drawn.tongues[number].exterior.coords
    ends = sorted(coordinates[:1] + coordinates[-2:-1], key=lambda point: point[1])
    return LineString(ends)
