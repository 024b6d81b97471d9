"""The map for the borer: where wood taken from the underside raises or lowers each tongue, at full size.

It is laid on the bench beside the top turned over, or taped to it: mirrored, as the maker sees the underside,
front edge towards him. Lines on each tongue say by how many cents one millimetre of depth of the chosen bit
moves its note when the bit's centre is there; a heavy line is where it moves nothing. Grey hatched places are
to be left alone. Bores already made are ringed with their depth; the next one carries a cross, and its words.

Everything comes as plain numbers (`BenchMap`), in the drum's own frame seen from above, mm and cents; the
turning over happens here, once. No physics: what a bore does is worked out elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from kerftone.draw import legend, style
from kerftone.draw.contour import level_lines
from kerftone.draw.cuts import mirrored, root_bar_edges
from kerftone.draw.free_room import FreeRoom, text_box
from kerftone.draw.labels import rim_words
from kerftone.draw.layout import regions
from kerftone.draw.map_words import depth_words, figures, line_step, places_round, told_by_mm
from kerftone.draw.sheet import Circle, Entry, Layer, Line, Pen, Point, Shape, Sheet, Tag, Text, text_width_mm
from kerftone.draw.underside import EDGE_MM, FRONT_TOWARDS, TURNED, end_words
from kerftone.draw.waste import hatched
from kerftone.units import Units, bit_width, tool_figure, tool_length

Array = NDArray[np.floating[Any]]

RAISES = Pen(stroke=style.RUST, width_mm=0.3)
LOWERS = Pen(stroke=style.SEA, width_mm=0.3, dash_mm=(2.5, 1.2))
NOTHING = Pen(stroke=style.INK, width_mm=0.9)
KEEP_OUT = Pen(stroke=style.SLATE, width_mm=0.25)
MADE = Pen(stroke=style.PLUM, width_mm=0.5, fill=style.PAPER)
FIGURES = Pen(fill=style.INK, halo=style.PAPER)
NEXT = Pen(stroke=style.RUST, width_mm=0.9)
HATCH_MM = 3.5
"""Between two lines of the hatching; own judgement."""
CROSS_MM, NEXT_MM = 5.0, 3.6
"""How far the cross of the next bore reaches beyond it, and how high its words are."""
LAID = f"{TURNED} Lay the sheet beside it the same way, or prick the centre through the paper."


@dataclass(frozen=True, kw_only=True)
class TongueMap:
    """One tongue's effect of boring: `cents_per_mm[j, i]` with the bit's centre at (xs_mm[i], ys_mm[j]).

    Positive where boring raises the note. NaN where nothing is known or the bit may not go. xs and ys rise.
    """

    place: str
    note: str
    shape: Polygon
    xs_mm: Array
    ys_mm: Array
    cents_per_mm: Array


@dataclass(frozen=True, kw_only=True)
class MapBore:
    """A bore on the map: centre seen from above, mm. `name` is what the words call it, such as "3"."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    depth_mm: float
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class BenchMap:
    """All that the map shows, seen from above in the drum's own frame.

    board: the whole board, for its size; wood: the top as sawn; box_inner: what of it is free below, inside walls and
    root bars; wall_inner: the walls' inner faces, where there are bars. keep_out: where the bit's centre must not go.
    words: what to do, one paragraph each.
    """

    name: str
    board: Polygon
    wood: BaseGeometry
    box_inner: Polygon
    bit_mm: float
    tongues: tuple[TongueMap, ...]
    keep_out: tuple[BaseGeometry, ...] = ()
    made: tuple[MapBore, ...] = ()
    next_bore: MapBore | None = None
    words: tuple[str, ...] = ()
    units: Units = "mm"
    wall_inner: Polygon | None = None


def bench_map_sheet(given: BenchMap) -> Sheet:
    """The map at full size, seen from below, for `pdf_file` and `svg_file`.

    Held by tests/draw/test_bench_map.py: the zero line of a known field, the mirror, the keep-outs.
    """
    scale = told_by_mm(given.units)
    given = replace(
        given, tongues=tuple(replace(t, cents_per_mm=scale * t.cents_per_mm) for t in given.tongues)
    )
    drawing = _Map(given)
    drawing.wood()
    drawing.bore_words()
    for tongue in given.tongues:
        drawing.lines(tongue)
    drawing.keep_out()
    drawing.bores()
    drawing.words()
    return drawing.sheet()


def field_lines(tongue: TongueMap, level: float) -> list[tuple[Point, ...]]:
    """Where one millimetre of depth moves this tongue by exactly this many cents, seen from above."""
    points, triangles, values = _triangles(tongue)
    return level_lines(points, triangles, values, level) if len(triangles) else []


def _triangles(tongue: TongueMap) -> tuple[Array, NDArray[np.int64], Array]:
    """The grid as triangles, those with an unknown corner left out."""
    xs, ys, grid = tongue.xs_mm, tongue.ys_mm, tongue.cents_per_mm
    across, up = np.meshgrid(xs, ys)
    points = np.stack([across.ravel(), up.ravel()], axis=1)
    number = np.arange(points.shape[0]).reshape(len(ys), len(xs))
    a, b, c, d = (n.ravel() for n in (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]))
    trios = np.vstack([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]).astype(np.int64)
    values = np.asarray(grid, dtype=float).ravel()
    return points, trios[np.isfinite(values[trios]).all(axis=1)], values


@dataclass
class _Map:
    """The map while it is drawn."""

    given: BenchMap
    layers: dict[str, tuple[Pen, list[Shape]]] = field(default_factory=dict)
    room: FreeRoom = field(default_factory=FreeRoom)
    told: list[tuple[str, Pen, Text]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.length = self.given.board.bounds[2] + self.given.board.bounds[0]
        self.step = style.look_for(self.length).body_mm
        self.west, self.south, self.east, self.north = self.turned(self.given.board).bounds
        self.low = self.south
        self.high = self.north

    def turned(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape as seen from below."""
        return mirrored(shape, self.length)

    def spot(self, point: Point) -> Point:
        """A point as seen from below."""
        return self.length - point[0], point[1]

    def put(self, name: str, pen: Pen, shapes: Iterable[Shape]) -> None:
        """Add shapes to a layer."""
        self.layers.setdefault(name, (pen, []))[1].extend(shapes)

    def wood(self) -> None:
        """The sawn top, the inside of the box, the tongues' names at their roots."""
        self.put(
            "outline",
            Pen(stroke=style.INK, width_mm=0.5, fill=style.PAPER),
            regions(self.turned(self.given.wood)),
        )
        free = self.turned(self.given.box_inner)
        inside = free if self.given.wall_inner is None else self.turned(self.given.wall_inner)
        self.put("box", style.UNDER, regions(inside))
        self.put("root bars", style.BAR, root_bar_edges(free, inside))
        for tongue in self.given.tongues:
            west, south, east, north = self.turned(tongue.shape).bounds
            words = f"{tongue.place} {tongue.note}"
            height = max(style.SMALLEST_MM, min(5.0, 0.12 * (north - south)))
            rooted_right = tongue.place.startswith("L")
            x = east + 1.5 if rooted_right else west - 1.5
            anchor: Any = "start" if rooted_right else "end"
            text = Text(
                at=(x, 0.5 * (south + north) - 0.5 * height),
                words=words,
                height_mm=height,
                anchor=anchor,
                bold=True,
                spots=tuple(
                    (x + (1.5 if rooted_right else -1.5) * n, 0.5 * (south + north) - 0.5 * height)
                    for n in range(9)
                ),
            )
            self.put("names", FIGURES, (text,))
            self.room.take(text_box(text))

    def lines(self, tongue: TongueMap) -> None:
        """Lines of equal effect on one tongue, each with its figure once."""
        step = line_step(tongue.cents_per_mm)
        known = tongue.cents_per_mm[np.isfinite(tongue.cents_per_mm)]
        if not known.size:
            return
        low, high = math.ceil(float(known.min()) / step), math.floor(float(known.max()) / step)
        for number in range(low, high + 1):
            level = number * step
            pen, name = (
                (NOTHING, "zero line")
                if number == 0
                else ((RAISES, "raises") if number > 0 else (LOWERS, "lowers"))
            )
            runs = [tuple(map(self.spot, run)) for run in field_lines(tongue, level)]
            self.put(name, pen, (Line(points=run) for run in runs if len(run) > 1))
            places = list(figures(runs, level, number)) if number else []
            figure = self.room.put(places)
            if figure is not None:
                self.put("figures", FIGURES, (replace(figure, spots=tuple(t.at for t in places)),))

    def keep_out(self) -> None:
        """What must be left alone, hatched."""
        for zone in self.given.keep_out:
            turned = self.turned(zone)
            self.put("keep out", KEEP_OUT, (*regions(turned), *hatched(turned, gap_mm=HATCH_MM)))

    def bores(self) -> None:
        """What is bored already, and what comes next."""
        for bore in self.given.made:
            at = self.spot((bore.x_mm, bore.y_mm))
            self.put("bores made", MADE, (Circle(centre=at, radius_mm=0.5 * bore.diameter_mm),))
        coming = self.given.next_bore
        if coming is not None:
            self._cross(coming)
        for name, pen, text in self.told:
            self.put(name, pen, (text,))

    def _cross(self, coming: MapBore) -> None:
        at, arm = self.spot((coming.x_mm, coming.y_mm)), 0.5 * coming.diameter_mm + CROSS_MM
        cross = tuple(
            Line(points=((at[0] - arm * u, at[1] - arm * v), (at[0] + arm * u, at[1] + arm * v)))
            for u, v in ((1.0, 0.0), (0.0, 1.0))
        )
        self.put("next bore", NEXT, (Circle(centre=at, radius_mm=0.5 * coming.diameter_mm), *cross))

    def bore_words(self) -> None:
        """Find room for what is said of each bore, before the figures of the lines take theirs."""
        coming, made = self.given.next_bore, self.given.made
        for bore in made:  # in its ring where it fits there, else beside it
            name = f"{bore.name}: " if bore.name else ""
            words = f"{name}{tool_figure(bore.depth_mm, self.given.units)}"
            wide = text_width_mm(words, style.SMALLEST_MM)
            inside = [(0.0, 0.0)] if wide < bore.diameter_mm - 1.0 else []
            places = [*inside, *places_round(0.5 * bore.diameter_mm, wide, style.SMALLEST_MM)]
            self._tell(
                "bore words", Pen(fill=style.PLUM, halo=style.PAPER), bore, (words, style.SMALLEST_MM), places
            )
        if coming is not None:
            words = f"NEXT: {tool_length(coming.depth_mm, self.given.units)} deep"
            wide = text_width_mm(words, NEXT_MM, bold=True)
            places = places_round(0.5 * coming.diameter_mm + CROSS_MM, wide, NEXT_MM)
            self._tell("next words", Pen(fill=style.RUST, halo=style.PAPER), coming, (words, NEXT_MM), places)
        for bore in (*made, *(() if coming is None else (coming,))):
            (x, y), reach = self.spot((bore.x_mm, bore.y_mm)), 0.5 * bore.diameter_mm
            self.room.take((x - reach, y - reach, x + reach, y + reach))

    def _tell(
        self, layer: str, pen: Pen, bore: MapBore, what: tuple[str, float], places: list[Point]
    ) -> None:
        """Put words of this height at the first of these places round a bore that is free."""
        (words, height), (x, y) = what, self.spot((bore.x_mm, bore.y_mm))
        texts = [
            Text(
                at=(x + dx, y + dy - 0.5 * height),
                words=words,
                height_mm=height,
                anchor="middle",
                bold=height > style.SMALLEST_MM,
            )
            for dx, dy in places
        ]
        text = self.room.put(texts, must=True)
        if text is not None:
            self.told.append(
                (layer, pen, replace(text, spots=tuple(one.at for one in texts), plate=style.PAPER))
            )

    def words(self) -> None:
        """Which way up it lies, what the lines mean, what to do."""
        given, step = self.given, self.step
        self._say((f"{given.name}: where to bore", 2.0 * step), above=True)
        wide = self.given.board.bounds[3]
        edges = [
            *end_words(0.0, self.length, wide, style.SMALLEST_MM),
            rim_words(FRONT_TOWARDS, (10.0, 2.0), self.length),
        ]
        self.put("edges", FIGURES, edges)
        self.low = self.south - 1.0 * step
        for words in given.words:
            self._say((words, 1.15 * step), bold=True)
        self._say((LAID, step))
        self._legend()

    def _entries(self) -> tuple[Entry, ...]:
        """What the lines mean."""
        bit = bit_width(self.given.bit_mm, self.given.units)
        entries = [
            Entry(
                name="raises",
                pen=RAISES,
                words=f"Cents up for each {depth_words(self.given.units)} of depth, with a {bit} bit centred there.",
            ),
            Entry(name="zero", pen=NOTHING, words="No change of pitch."),
            Entry(
                name="lowers",
                pen=LOWERS,
                words=f"Cents down for each {depth_words(self.given.units)} of depth.",
            ),
            Entry(name="box", pen=style.UNDER, words="Inside of the box."),
        ]
        if "root bars" in self.layers:
            words = "Edge of the root bar: no boring between it and the end."
            entries.append(Entry(name="root bar", pen=style.BAR, words=words))
        if self.given.keep_out:
            entries.append(
                Entry(name="out", pen=KEEP_OUT, sample="hatch", words="Hatched: keep the bit's centre out.")
            )
        if self.given.next_bore is not None:
            entries.append(
                Entry(name="next", pen=NEXT, sample="next", words="Where to bore next, and how deep.")
            )
        if self.given.made:
            words = "Bored already; the figure is the depth."
            entries.append(Entry(name="made", pen=MADE, sample="circle", words=words))
        return tuple(entries)

    def _legend(self) -> None:
        block = legend.Block()
        y = self.low - self.step
        for entry in self._entries():
            y -= legend.set_entry(
                block, entry, at=(self.west, y), width_mm=self.east - self.west, height_mm=self.step
            )
        for entry, shapes in block.samples:
            self.put(f"legend {entry.name}", entry.pen, shapes)
        self.put("words", style.WORDS, block.words)
        self.low = y

    def _say(self, what: tuple[str, float], *, bold: bool = False, above: bool = False) -> None:
        """A paragraph under what stands already, or above the drawing."""
        words, height = what
        lines = legend.wrapped(
            words, width_mm=self.east - self.west, height_mm=height * (1.1 if bold else 1.0)
        )
        y = self.north + 3.0 * self.step + 1.7 * height * len(lines) if above else self.low
        if above:
            self.high = y
        for line in lines:
            y -= 1.7 * height
            text = Text(at=(self.west, y), words=line, height_mm=height, bold=bold or above)
            self.put("words", style.WORDS, (text,))
        if not above:
            self.low = y - 0.6 * height

    def _tag(self, tongue: TongueMap) -> Tag:
        """Its name for the small picture on the cover."""
        west, south, east, north = self.turned(tongue.shape).bounds
        at = (0.5 * (west + east), 0.5 * (south + north))
        return Tag(at=at, words=f"{tongue.place} {tongue.note}", room_mm=(east - west, north - south))

    def sheet(self) -> Sheet:
        """The finished map with a little white round it."""
        side, air = 2.5 * self.step, self.step
        texts = [
            s for _, shapes in self.layers.values() for s in shapes if isinstance(s, Text) and not s.angle_deg
        ]
        right = max(
            (
                t.at[0] + text_width_mm(t.words, t.height_mm, bold=t.bold)
                for t in texts
                if t.anchor == "start"
            ),
            default=self.east,
        )
        right = max(self.east + side, right)
        return Sheet(
            left_mm=self.west - side,
            bottom_mm=self.low - air,
            width_mm=right - self.west + side,
            height_mm=self.high + air - (self.low - air),
            title=f"{self.given.name}: where to bore, seen from below",
            description=f"{TURNED} Lines of cents per {depth_words(self.given.units)} of depth.",
            to_size=(-EDGE_MM, -EDGE_MM, self.length + EDGE_MM, self.given.board.bounds[3] + EDGE_MM),
            tags=tuple(self._tag(tongue) for tongue in self.given.tongues),
            notes=(*self.given.words, LAID),
            marks=self._entries(),
            layers=tuple(Layer(name=n, pen=p, shapes=tuple(s)) for n, (p, s) in self.layers.items() if s),
        )
