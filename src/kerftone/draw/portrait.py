"""A picture of the finished drum: its own shape in perspective, in its woods, with light and grain. Not to measure.

Made from the outline of the top and the box's sizes, so that slots, tongues, ends and joints are where the drum has
them. Painted from the back forwards: shadow, walls, inside of the slots, top, edges. Light falls from the upper left.
Our own drawing; the look is our own judgement. mm: x along, y across from the front, z up from the bench.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry import box as rectangle
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from kerftone.draw.sheet import Layer, Line, Pen, Point, Region, Shape, Sheet, closed
from kerftone.draw.wood_look import WoodLook, grain, look_of, mixed, shaded
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.outline import Outline

Array = NDArray[np.float64]
Solid = tuple[float, float, float]

WIDE_MM = 180.0
"""How wide the picture is."""
TURN_DEG, RISE_DEG = -25.0, 38.0
"""From where it is seen: to the right of the front, and from above."""
FAR = 4.0
"""How far off the eye is, in lengths of the drum: far enough that the near end does not swell."""
TOP_LIGHT, FRONT_LIGHT, END_LIGHT, INSIDE_LIGHT, DARK = 1.06, 0.82, 0.62, 0.46, 0.0
"""How much light each face shows: top, front, end, inside of a slot, and the dark under it; by eye, own judgement."""
FOOT_COLOURS = {"rubber": "#2b2a2a", "felt": "#6d6f72", "cork": "#b98a5a", "wood": "#8d6a45"}
"""By eye."""
FACE_MM = 2.0
"""How finely an edge is followed."""


class Eye:
    """Turns points of the drum into points of the picture, mm, the drum's middle at 0."""

    def __init__(self, middle: Solid, size: float, scale: float) -> None:
        turn, rise = math.radians(TURN_DEG), math.radians(RISE_DEG)
        back = np.array([-math.sin(turn) * math.cos(rise), -math.cos(turn) * math.cos(rise), math.sin(rise)])
        right = np.array([math.cos(turn), -math.sin(turn), 0.0])
        self.axes = np.stack([right, np.cross(back, right), back])
        self.middle, self.away, self.scale = np.array(middle), FAR * size, scale

    def see(self, points: Array) -> Array:
        """(n, 3) points of the drum as (n, 2) of the picture."""
        turned = (np.asarray(points, dtype=float) - self.middle) @ self.axes.T
        near = self.away / (self.away - turned[:, 2])
        return np.asarray(self.scale * turned[:, :2] * near[:, None])

    def level(self, shape: BaseGeometry, z: float) -> BaseGeometry:
        """A shape that lies level at this height, as it is seen."""
        return shapely.transform(shape, lambda xy: self.see(np.column_stack([xy, np.full(len(xy), z)])))


@dataclass(frozen=True, kw_only=True)
class _Levels:
    """The heights of a drum that stands on the bench."""

    foot: float
    walls: float
    under: float
    top: float


def portrait(drum: Drum, drawn: Outline, box: Box) -> Sheet:
    """The picture of this drum, for `svg_inline` and the pages of `share`.

    Held by tests/draw/test_portrait.py: its woods' colours, every tongue in sight, all of it on its sheet.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    drawn : Outline
        The outline of its top, in mm.
    box : Box
        The box under it.
    """
    painter = _Painter(drum, drawn, box)
    painter.paint()
    return painter.sheet()


class _Painter:
    """The picture while it is painted."""

    def __init__(self, drum: Drum, drawn: Outline, box: Box) -> None:
        self.drum, self.drawn, self.box = drum, drawn, box
        west, south, east, north = drawn.box_outer.union(drawn.board).bounds
        self.outer = (west, south, east, north)
        feet = drum.box.feet
        foot = 0.6 * feet.height_mm if feet.kind != "none" else 0.0
        under = foot + drum.bottom.thickness_mm if drum.bottom is not None and not box.let_in_mm else foot
        inlet = drum.box.mount == "in ledge"
        high = under + box.wall_height_mm
        top = high if inlet else high + drum.top.thickness_mm
        self.z = _Levels(foot=foot, walls=under, under=high, top=top)
        self.inlet = inlet
        size = max(east - west, 1.3 * (north - south))
        self.eye = Eye((0.5 * (west + east), 0.5 * (south + north), 0.5 * top), size, WIDE_MM / (1.02 * size))
        self.layers: list[Layer] = []

    def put(self, name: str, shapes: Iterable[Shape], **pen: object) -> None:
        """Shapes over what is painted already."""
        kept = tuple(shapes)
        if kept:
            self.layers.append(Layer(name=name, pen=Pen(**pen), shapes=kept))  # type: ignore[arg-type]

    def paint(self) -> None:
        """All of it, from the back forwards."""
        self._shadow()
        self._feet()
        drum, z = self.drum, self.z
        wall = look_of(drum.box.wood)
        if z.walls > z.foot and drum.bottom is not None:
            self._sides(look_of(drum.bottom.wood), z.foot, z.walls, drum.bottom.wood)
        self._sides(wall, z.walls, z.under, drum.box.wood, corner=True)
        top = look_of(drum.top.wood)
        if self.inlet:
            self._rim(wall)
        else:
            self._sides(top, z.under, z.top, drum.top.wood)
        self._slots(top)
        self._top(top)

    def _shadow(self) -> None:
        west, south, east, north = self.outer
        for number in range(9):
            grow = 3.0 + 5.0 * (8 - number)
            shape = rectangle(west + 6.0, south - 4.0, east + 12.0, north - 10.0).buffer(grow, quad_segs=6)
            grey = mixed("#ffffff", "#8f8a84", 0.055 * (number + 1))
            self.put("shadow", _regions(self.eye.level(shape, 0.0)), fill=grey)

    def _feet(self) -> None:
        feet = self.drum.box.feet
        if feet.kind == "none":
            return
        west, south, east, north = self.outer
        inset, half = 0.9 * feet.diameter_mm + 4.0, 0.5 * feet.diameter_mm
        colour = FOOT_COLOURS[feet.kind]
        for x, y in (
            (west + inset, south + inset),
            (east - inset, south + inset),
            (east - inset, north - inset),
        ):
            ring = shapely.Point(x, y).buffer(half)
            low, high = self.eye.level(ring, 0.0), self.eye.level(ring, self.z.foot + 3.0)
            self.put("feet", _regions(low.union(high).convex_hull), fill=colour)

    def _sides(self, look: WoodLook, low: float, high: float, wood: str, *, corner: bool = False) -> None:
        """The front and the right end between two heights, with grain along them."""
        west, south, east, north = self.outer
        runs = (
            ("front", (west, south), (east, south), FRONT_LIGHT),
            ("end", (east, south), (east, north), END_LIGHT),
        )
        for name, start, stop, light in runs:
            face = self._face(start, stop, low, high, corner=corner)
            seen = self._upright(face, start, stop)
            self.put(name, _regions(seen), fill=shaded(look.colour, light))
            long = math.dist(start, stop)
            ends = name == "end" and not corner  # the end of a board shows its rings, not lines along it
            if not ends:
                lines = grain(long, high - low, name=f"{wood} {name} {corner}", every_mm=4.0)
                cut = _clipped(lines, affinity.translate(face, 0.0, -low))
                seen_lines = [self._upright(affinity.translate(line, 0.0, low), start, stop) for line in cut]
                self._grain_lines(seen_lines, look, light)
            edge = shaded(look.colour, 0.5 * light)
            self.put(f"{name} edge", _regions(seen), stroke=edge, width_mm=0.2)
        if corner:
            self._sound_holes(look, low)
            self._corner(look, low, high)

    def _face(self, start: Point, stop: Point, low: float, high: float, *, corner: bool) -> Polygon:
        """A side as seen square on, u along it and z up, with its foot relief cut out."""
        long = math.dist(start, stop)
        face = rectangle(0.0, low, long, high)
        relief = self.drum.box.foot_relief
        if not corner or relief is None:
            return face
        wall = self.box.wall("front" if start[1] == stop[1] else "right")
        path = wall.relief_path()
        if path is None:
            return face
        shift = 0.5 * (long - wall.length_mm)
        cut = Polygon([(u + shift, s + low) for u, s in path.chords(most_deg=3.0)])
        cut_face = face.difference(cut)
        return cut_face if isinstance(cut_face, Polygon) else face

    def _upright(self, shape: BaseGeometry, start: Point, stop: Point) -> BaseGeometry:
        """A shape of a side (u along it, z up) as it is seen."""
        long = math.dist(start, stop)
        along = ((stop[0] - start[0]) / long, (stop[1] - start[1]) / long)

        def solid(uz: Array) -> Array:
            x, y = start[0] + uz[:, 0] * along[0], start[1] + uz[:, 0] * along[1]
            return self.eye.see(np.column_stack([x, y, uz[:, 1]]))

        return shapely.transform(shapely.segmentize(shape, 12.0), solid)

    def _corner(self, look: WoodLook, low: float, high: float) -> None:
        """What the joint shows at the near corner: fingers or keys; a mitre shows nothing."""
        _, south, east, _ = self.outer
        front, end = ((self.outer[0], south), (east, south)), ((east, south), (east, self.outer[3]))
        long, thick = math.dist(*front), self.box.wall_mm
        wall = self.box.wall("front")
        for a, b in wall.fingers_mm:
            piece = rectangle(0.0, low + a, thick, low + b)
            self._end_grain(self._upright(piece, *end), look, 0.72)
        for a, b in wall.gaps_mm() if wall.fingers_mm else ():
            piece = rectangle(long - thick, low + a, long, low + b)
            self._end_grain(self._upright(piece, *front), look, 0.9)
        keys = self.drum.box.keys
        half = 0.5 * keys.thickness_mm
        key = look_of(keys.wood or self.drum.box.wood)
        for s in wall.key_heights_mm:
            reach = self.box.key_leg_mm
            near = rectangle(long - reach, low + s - half, long, low + s + half)
            far = rectangle(0.0, low + s - half, reach, low + s + half)
            self.put("keys", _regions(self._upright(near, *front)), fill=shaded(key.colour, FRONT_LIGHT))
            self.put("keys", _regions(self._upright(far, *end)), fill=shaded(key.colour, END_LIGHT))

    def _sound_holes(self, look: WoodLook, low: float) -> None:
        """The dark of the box through the sound holes of the front and the right wall."""
        west, south, east, north = self.outer
        front, right = ((west, south), (east, south)), ((east, south), (east, north))
        for wall, (start, stop) in ((self.box.wall("front"), front), (self.box.wall("right"), right)):
            shift = 0.5 * (math.dist(start, stop) - wall.length_mm)
            for cut in wall.sound_holes:
                edge = Polygon([(u + shift, s + low) for u, s in cut.path.chords(most_deg=6.0)])
                seen = _regions(self._upright(edge, start, stop))
                dark, light = shaded(look.lines, DARK), shaded(look.lines, 0.8)
                self.put("sound holes", seen, fill=dark, stroke=light, width_mm=0.3)

    def _end_grain(self, piece: BaseGeometry, look: WoodLook, light: float) -> None:
        fill, stroke = shaded(mixed(look.colour, look.lines, 0.7), light), shaded(look.lines, 0.5)
        self.put("joint", _regions(piece), fill=fill, stroke=stroke, width_mm=0.12)

    def _rim(self, look: WoodLook) -> None:
        """The walls' upper edges round a top that is let in, mitred, and the gap between."""
        west, south, east, north = self.outer
        gap = self.drawn.board.buffer(self.drum.box.clearance_mm, join_style="mitre")
        inner = gap.bounds
        corners = ((west, south), (east, south), (east, north), (west, north))
        inside = ((inner[0], inner[1]), (inner[2], inner[1]), (inner[2], inner[3]), (inner[0], inner[3]))
        for n in range(4):
            m = (n + 1) % 4
            piece = Polygon([corners[n], corners[m], inside[m], inside[n]])
            light = TOP_LIGHT - 0.06 * (n % 2)
            seen = self.eye.level(shapely.segmentize(piece, 20.0), self.z.top)
            fill, stroke = shaded(look.colour, light), shaded(look.lines, 0.8)
            self.put("rim", _regions(seen), fill=fill, stroke=stroke, width_mm=0.12)
        self.put("gap", _regions(self.eye.level(gap, self.z.top)), fill=shaded(look.lines, 0.45))

    def _slots(self, look: WoodLook) -> None:
        """The dark of the box under the slots, and the cut wood that is seen through them."""
        z, deep = self.z.top, self.z.top - self.drum.top.thickness_mm
        opening = self.eye.level(shapely.segmentize(self.drawn.removed, FACE_MM * 4), z)
        self.put("dark", _regions(opening), fill=shaded(look.lines, DARK))
        opening = opening.buffer(0.0)
        faces: dict[float, list[Region]] = {}
        for a, b in _edges_of(self.drawn.removed):
            light = self._facing(a, b)
            if light is None:
                continue
            quad = np.array([(*a, z), (*b, z), (*b, deep), (*a, deep)])
            seen = Polygon(self.eye.see(quad)).buffer(0.0).intersection(opening)
            faces.setdefault(round(light, 2), []).extend(_regions(seen))
        for light, regions in sorted(faces.items()):
            self.put("cut", regions, fill=shaded(mixed(look.colour, look.lines, 0.4), light))

    def _facing(self, a: Point, b: Point) -> float | None:
        """How much light the cut face over this edge shows; None where it looks away from the eye.

        The removed wood lies to the left of its edge, so the face looks to the left too.
        """
        along = np.array([b[0] - a[0], b[1] - a[1]])
        long = float(np.hypot(*along))
        if long < 1e-9:
            return None
        out = np.array([-along[1], along[0], 0.0]) / long
        if float(out @ self.eye.axes[2]) <= 0.0:
            return None
        return INSIDE_LIGHT + 0.22 * abs(float(out[1]))

    def _top(self, look: WoodLook) -> None:
        """The top's upper face, its grain, and a light edge along the front."""
        drum, z = self.drum, self.z.top
        wood = shapely.segmentize(self.drawn.top, 20.0)
        self.put("top", _regions(self.eye.level(wood, z)), fill=shaded(look.colour, TOP_LIGHT))
        long, wide = drum.top.length_mm, drum.top.width_mm
        lines = grain(long, wide, name=f"{drum.name} {drum.top.wood}", flatsawn=drum.top.cut == "flatsawn")
        turned = [
            affinity.rotate(LineString(line), drum.top.grain_angle_deg, origin=(0.5 * long, 0.5 * wide))
            for line in lines
        ]
        cut = _clipped([np.asarray(line.coords) for line in turned], self.drawn.top)
        self._grain_lines([self.eye.level(line, z) for line in cut], look, TOP_LIGHT)
        edge = _regions(self.eye.level(wood, z))
        self.put("top edge", edge, stroke=shaded(look.lines, 0.62), width_mm=0.22)
        west, south, east, north = self.drawn.board.bounds
        rim = self.eye.level(LineString([(west, south), (east, south), (east, north)]), z)
        self.put("shine", _lines(rim), stroke=shaded(look.colour, 1.45), width_mm=0.45)

    def _grain_lines(self, lines: Sequence[BaseGeometry], look: WoodLook, light: float) -> None:
        """Grain in three strengths, so that it does not look ruled."""
        for strength, width in ((0.30, 0.30), (0.5, 0.18), (0.75, 0.12)):
            number = (0.30, 0.5, 0.75).index(strength)
            some = [part for line in lines[number::3] for part in _lines(line)]
            colour = shaded(mixed(look.colour, look.lines, strength * look.figure), light)
            self.put("grain", some, stroke=colour, width_mm=width)

    def sheet(self) -> Sheet:
        """The finished picture, with a little white round it."""
        shapes = [s for layer in self.layers for s in layer.shapes]
        points = [p for s in shapes if isinstance(s, Region) for p in s.outer]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        drum, air = self.drum, 2.0
        return Sheet(
            left_mm=min(xs) - air,
            bottom_mm=min(ys) - air,
            width_mm=max(xs) - min(xs) + 2.0 * air,
            height_mm=max(ys) - min(ys) + 2.0 * air,
            title=f"{drum.name}: the finished drum",
            description=f"A picture, not to size: a top of {drum.top.wood} on a box of {drum.box.wood}.",
            layers=tuple(self.layers),
        )


def _regions(shape: BaseGeometry) -> list[Region]:
    parts: Iterable[BaseGeometry] = getattr(shape, "geoms", (shape,))
    return [
        Region(outer=closed(p.exterior.coords), holes=tuple(closed(r.coords) for r in p.interiors))
        for p in parts
        if isinstance(p, Polygon) and not p.is_empty
    ]


def _lines(shape: BaseGeometry) -> list[Line]:
    parts: Iterable[BaseGeometry] = getattr(shape, "geoms", (shape,))
    return [
        Line(points=tuple((float(x), float(y)) for x, y in p.coords))
        for p in parts
        if isinstance(p, LineString) and len(p.coords) > 1
    ]


def _clipped(lines: Iterable[Array], area: BaseGeometry) -> list[BaseGeometry]:
    """The parts of these lines that lie on an area."""
    shapely.prepare(area)
    cut = (LineString(line).intersection(area) for line in lines)
    return [line for line in cut if not line.is_empty]


def _edges_of(shape: Polygon | MultiPolygon) -> Iterator[tuple[Point, Point]]:
    """The straight pieces round what is cut away, the cut on their left."""
    for part in getattr(shape, "geoms", (shape,)):
        turned = orient(part)
        for ring in (turned.exterior, *turned.interiors):
            yield from pairwise(ring.coords)
