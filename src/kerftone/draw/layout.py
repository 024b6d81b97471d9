"""The top in plan, as it will be sawn, at true size.

Seen from above in the drum's own frame: x along the length, y across from the front edge, mm. What lies
underneath (the walls' inner face, root bars, bores) is dashed. Every tongue carries its place, note and length;
margins, rows and the board carry measures, so that the layout can be marked out with rule and square alone.

Shapes come from the drum's outline; nothing here decides what can be sawn. Sizes of words are chosen so
that they are at least 3.2 mm on paper and read when the whole drawing fills one screen.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from kerftone.draw import legend, style
from kerftone.draw.bow_words import bow_words
from kerftone.draw.curved import areas
from kerftone.draw.cuts import root_bar_edges
from kerftone.draw.dimension import Measures, arrow_head
from kerftone.draw.labels import Spot, rim_words, tongue_tags, tongue_words
from kerftone.draw.sheet import (
    Circle,
    Entry,
    Layer,
    Line,
    Pen,
    Region,
    Shape,
    Sheet,
    Text,
    closed,
    text_width_mm,
)
from kerftone.draw.waste import HATCH, MARKED, hatched, waste, waste_names
from kerftone.draw.waste import NAME as WASTE_NAME
from kerftone.draw.word_places import LEADER, LEADERS, leader_lines
from kerftone.drum.design import Bore, Drum, Tongue
from kerftone.drum.outline import Outline
from kerftone.shop.measure import Measure, measure_of

_GRAIN_MM = 34.0
"""Length of the arrow that shows the grain; own judgement."""
FRONT_WORDS = "FRONT EDGE"
BORDER_MM = 3.6
"""How far from the board's edges its measures run: on the wood over the walls."""
BORDER_ROOM_MM = 8.0
"""What the measures along an end take."""
EDGE_MM = 1.5
"""What paper shows round the board."""


def regions(shape: BaseGeometry) -> tuple[Region, ...]:
    """A polygon, or several, as regions of the drawing."""
    parts: Iterable[BaseGeometry] = getattr(shape, "geoms", (shape,))
    return tuple(
        Region(outer=closed(part.exterior.coords), holes=tuple(closed(r.coords) for r in part.interiors))
        for part in parts
        if isinstance(part, Polygon) and not part.is_empty
    )


def layout_sheet(drum: Drum, drawn: Outline, *, full_size: bool = True) -> Sheet:
    """The drawing of this drum's top, seen from above, in mm.

    drawn: the drum's own outline. full_size False is for a picture in a page: its bar says that it is not to
    be measured. Held by tests/draw/test_layout.py (areas, places, the bar, the size of words).

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    drawn : Outline
        The outline of the top, in mm.
    full_size : bool, optional
        False for a picture in a page, which is not to be measured.
    """
    plan = _Plan(drum, drawn, full_size=full_size)
    plan.wood()
    plan.tongues()
    plan.measures()
    plan.heading()
    plan.foot()
    return plan.sheet()


class _Plan:
    """The drawing while it is made: layers by name, and how far it reaches up and down."""

    def __init__(self, drum: Drum, drawn: Outline, *, full_size: bool) -> None:
        self.drum = drum
        self.say = measure_of(drum)
        self.drawn = drawn
        self.full_size = full_size
        self.look = style.look_for(drum.top.length_mm)
        self.layers: dict[str, tuple[Pen, list[Shape]]] = {}
        west, south, east, north = drawn.board.union(drawn.box_outer).bounds
        self.west, self.south, self.east, self.north = west, south, east, north
        self.top_y = north
        self.low_y = south - 1.2 * self.look.body_mm
        self.left_x = west
        self.right_x = east
        self.notes: list[str] = []

    def put(self, name: str, pen: Pen, shapes: Iterable[Shape]) -> None:
        """Add shapes to a layer, in the order layers are first named."""
        self.layers.setdefault(name, (pen, []))[1].extend(shapes)

    def wood(self) -> None:
        """The top as sawn, the box under it, the root lines, the bores."""
        drum, drawn = self.drum, self.drawn
        self.put("top", style.SAWN, areas(drawn.top, drawn))
        self.put("tongues", style.TONGUES, (r for t in drawn.tongues for r in areas(t, drawn)))
        self.put("saw cuts", Pen(stroke=style.INK, width_mm=0.5), areas(drawn.top, drawn))
        self.put("box inside", style.UNDER, regions(drawn.wall_inner))
        self.put("root bars", style.BAR, root_bar_edges(drawn.box_inner, drawn.wall_inner))
        if not drawn.box_outer.equals(drawn.board):
            self.put("box outside", style.OUTSIDE, regions(drawn.box_outer))
        pieces = waste(drawn, kerf_mm=drum.slots.kerf_mm)
        self.put("waste", HATCH, (line for piece in pieces for line in hatched(piece)))
        self.put("root lines", style.ROOTS, _root_lines(drum, drawn))
        bores = (Circle(centre=(b.x_mm, b.y_mm), radius_mm=0.5 * b.diameter_mm) for b in drum.bores)
        self.put("bores", style.BORES, bores)
        knots = (Circle(centre=(k.x_mm, k.y_mm), radius_mm=0.5 * k.diameter_mm) for k in drum.top.knots_mm)
        self.put("knots", style.KNOTS, knots)
        self.put("front edge", style.FRONT, (Line(points=((0.0, 0.0), (drum.top.length_mm, 0.0))),))

    def tongues(self) -> None:
        """The strike marks and the words on the tongues."""
        lines = self.drawn.layout
        for tongue, struck in zip(self.drum.tongues, self.drawn.strike_points, strict=True):
            left = tongue.side == "left"
            root = lines.root_left_mm if left else lines.root_right_mm
            length = tongue.length_mm or 0.0
            spot = Spot(
                root_x=root,
                tip_x=root + length if left else root - length,
                y=struck[1],
                width_mm=min(lines.tongue_width_mm, lines.width_at_mm(tongue.row or 1, struck[0])),
                strike_x=struck[0],
                beyond=self._beyond(tongue, root, length),
            )
            mark = legend.strike_mark(struck, min(2.2, 0.12 * lines.tongue_width_mm))
            self.put("strike points", style.STRIKE, mark)
            words = tongue_words(self.drum, tongue, spot)
            self.put("tongue words", style.LABELS, words)
            self.put(LEADERS, LEADER, leader_lines(words))
        depths = (_depth_figure(b, self.say, self.look.body_mm) for b in self.drum.bores)
        self.put("bore depths", style.DEPTHS, depths)
        spoken = {
            y
            for t in self.layers["tongue words"][1]
            if isinstance(t, Text) and t.leader
            for _, y in (t.leader,)
        }
        edges = (lines.clear_mm(row + 1) for row in range(lines.rows))
        rows = tuple((low, high) for low, high in edges if not any(low < y < high for y in spoken))
        pieces = waste(self.drawn, kerf_mm=self.drum.slots.kerf_mm)
        self.put("waste words", WASTE_NAME, waste_names(pieces, rows))

    def _beyond(self, tongue: Tongue, root: float, length: float) -> tuple[tuple[float, float], ...]:
        """Where the words of a tongue too short for them may stand in its row: past its tip, past its root."""
        left, long = tongue.side == "left", self.drum.top.length_mm
        facing = [t for t in self.drum.tongues if t.row == tongue.row and t.side != tongue.side]
        lines, air = self.drawn.layout, 2.0
        tip = root + length if left else root - length
        reach = facing[0].length_mm or 0.0 if facing else -self.drum.slots.kerf_mm
        other = lines.root_right_mm - reach if left else lines.root_left_mm + reach
        gap = (tip + air, other - air) if left else (other + air, tip - air)
        strip = (BORDER_ROOM_MM, root - air) if left else (root + air, long - BORDER_ROOM_MM)
        return (gap, strip) if facing else (strip,)

    def measures(self) -> None:
        """Margins, rows and the size of the board, on its own wood along its edges: paper need show no more."""
        top, lines = self.drum.top, self.drawn.layout
        taken = Measures(figure_mm=style.SMALLEST_MM, plate=style.WOOD)
        edge = BORDER_MM
        for x_from, x_to in ((0.0, lines.root_left_mm), (lines.root_right_mm, top.length_mm)):
            words = self._length(x_to - x_from)
            y = top.width_mm - edge
            taken.across(x_from=x_from, x_to=x_to, y=y, words=words, reach_from=y)
        words = self._length(top.length_mm)
        taken.across(x_from=0.0, x_to=top.length_mm, y=edge, words=words, reach_from=edge)
        marks = (0.0, *lines.slot_ys_mm, top.width_mm)
        for low, high in itertools.pairwise(marks):
            words = self._length(high - low)
            taken.upright(y_from=low, y_to=high, x=edge, words=words, reach_from=lines.root_left_mm)
        words, x = self._length(top.width_mm), top.length_mm - edge
        taken.upright(y_from=0.0, y_to=top.width_mm, x=x, words=words, reach_from=x)
        self.put("measures", style.MEASURES, taken.lines)
        self.put("measure heads", style.ARROWS, taken.heads)
        self.put("measure figures", style.FIGURES, taken.figures)
        at = (2.0 * edge + 2.0, 2.0 * edge)
        self.put("front words", style.LABELS, (rim_words(FRONT_WORDS, at, top.length_mm, up_mm=4.0),))

    def heading(self) -> None:
        """The name, what the drawing shows, and the grain."""
        drum, step = self.drum, self.look.body_mm
        y = self.top_y + 1.2 * step
        count = len(drum.tongues)
        size = "full size" if self.full_size else "not to size"
        shown = f"Seen from above, {size}. {count} {'tongues' if count > 1 else 'tongue'}."
        made_of = (
            f"Top: {drum.top.wood}; {self.say(drum.top.thickness_mm)} thick, {drum.top.cut}. "
            f"Saw cut {self.say(drum.slots.kerf_mm)} wide."
        )
        grain = text_width_mm(_grain_words(drum.top.grain_angle_deg), step)
        wide = self.right_x - self.left_x - max(grain, _GRAIN_MM) - step
        self.notes = [shown, made_of, f"{_grain_words(drum.top.grain_angle_deg)}."]
        lines = [x for part in (shown, made_of) for x in legend.wrapped(part, width_mm=wide, height_mm=step)]
        for i, line in enumerate(reversed(lines)):
            at = (self.left_x, y + 1.7 * step * i)
            self.put("words", style.WORDS, (Text(at=at, words=line, height_mm=step),))
        y += 1.7 * step * len(lines) + 0.5 * step
        name = _shortened(drum.name, width_mm=wide, height_mm=self.look.title_mm)
        title = Text(at=(self.left_x, y), words=name, height_mm=self.look.title_mm, bold=True)
        self.put("words", style.WORDS, (title,))
        self.top_y = max(y + self.look.title_mm, self._grain(self.top_y + 1.2 * step))

    def _grain(self, low_y: float) -> float:
        """A double arrow along the grain, its angle in words under it; the height it reaches."""
        step, angle = self.look.body_mm, math.radians(self.drum.top.grain_angle_deg)
        words = _grain_words(self.drum.top.grain_angle_deg)
        half = 0.5 * _GRAIN_MM
        wide = text_width_mm(words, step)
        x = self.right_x - max(0.5 * wide, half)
        rise = half * abs(math.sin(angle))
        y = low_y + 2.0 * step + rise
        ends = [(x + s * half * math.cos(angle), y + s * half * math.sin(angle)) for s in (-1.0, 1.0)]
        self.put("grain", style.GRAIN, (Line(points=tuple(ends)),))
        heads = (arrow_head(ends[0], ends[1], step), arrow_head(ends[1], ends[0], step))
        self.put("grain heads", style.SOLID, heads)
        at = (x, low_y)
        self.put("words", style.WORDS, (Text(at=at, words=words, height_mm=step, anchor="middle"),))
        return y + rise + 0.5 * step

    def foot(self) -> None:
        """Which edge is the front, what the lines mean, and the check bar."""
        step = self.look.body_mm
        block = legend.Block()
        wide = self.right_x - self.left_x
        columns = 2 if wide > 75.0 * step else 1
        column = wide / columns
        entries = self._entries()
        half = -(-len(entries) // columns)
        lowest = y = self.low_y - 1.2 * step
        for i, entry in enumerate(entries):
            if i == half:
                y = self.low_y - 1.2 * step
            x = self.left_x + (i // half) * column
            y -= legend.set_entry(block, entry, at=(x, y), width_mm=column - 2.0 * step, height_mm=step)
            lowest = min(lowest, y)
        bars = 2 if self.drum.units == "in" else 1
        bars_y = lowest - (4.6 + 1.6 * bars) * step
        at = (self.left_x, bars_y)
        legend.set_bars(block, at=at, units=self.drum.units, height_mm=step, full_size=self.full_size)
        self.low_y = bars_y
        for entry, shapes in block.samples:
            self.put(f"legend {entry.name}", entry.pen, shapes)
        self.put("check bar black", legend.BLACK_STEPS, block.black)
        self.put("check bar white", legend.WHITE_STEPS, block.white)
        self.put("words", style.WORDS, block.words)

    def _entries(self) -> list[Entry]:
        drum = self.drum
        entries = [
            Entry(
                name="tongue",
                pen=Pen(stroke=style.INK, width_mm=0.5, fill=style.TONGUE),
                sample="area",
                words="Tongue: place, note, length from root line to tip.",
            ),
            Entry(name="front", pen=style.FRONT, words="Front edge: rows count from here."),
            Entry(name="root", pen=style.ROOTS, words="Root line: the saw cuts end here."),
            Entry(name="strike", pen=style.STRIKE, sample="strike", words="Where the note is struck."),
            Entry(name="box", pen=style.UNDER, words="Inside of the box, underneath."),
        ]
        if "waste" in self.layers:
            entries.insert(1, Entry(name="waste", pen=HATCH, sample="hatch", words=MARKED))
        if drum.box.root_bar_mm:
            entries.append(Entry(name="root bar", pen=style.BAR, words=self._bar_words()))
        if "box outside" in self.layers:
            entries.append(Entry(name="outside", pen=style.OUTSIDE, words="Outside of the box."))
        if drum.slots.stop_hole_mm > drum.slots.kerf_mm:
            hole = self.say(drum.slots.stop_hole_mm)
            words = f"Stop holes at the root lines: {hole} across, drilled through before sawing."
            if drum.slots.countersink_mm:
                words += f" Countersunk to {self.say(drum.slots.countersink_mm)} after it."
            entries.append(Entry(name="hole", pen=style.SAWN, sample="circle", words=words))
        if drum.slots.bow_mm:
            words = f"Slots that bow: {bow_words(drum.slots.bow_mm, self.say)}."
            entries.append(Entry(name="bow", pen=style.SAWN, words=words))
        if drum.slots.round_over_mm:
            radius = self.say(drum.slots.round_over_mm)
            words = f"Slots and tips: upper edges rounded over to a radius of {radius}, before tuning."
            entries.append(Entry(name="round over", pen=style.SAWN, words=words))
        if drum.bores:
            across = _listed(sorted({b.diameter_mm for b in drum.bores}), self.say)
            words = f"Bored from underneath, {across} across; the figure is the depth. Not through."
            entries.append(Entry(name="bore", pen=style.BORES, sample="circle", words=words))
        if drum.top.knots_mm:
            words = "Knots of the board: lay the top on it so that they come here."
            entries.append(Entry(name="knot", pen=style.KNOTS, sample="circle", words=words))
        return entries

    def _bar_words(self) -> str:
        box = self.drum.box
        return (
            f"Edge of the root bar, underneath: from the end wall to here, {self.say(box.root_bar_mm)} wide and "
            f"{self.say(box.root_bar_height_mm)} high."
        )

    def _length(self, mm: float) -> str:
        return self.say.figure(mm)

    def sheet(self) -> Sheet:
        """The finished drawing, with white all round."""
        drum, margin = self.drum, self.look.margin_mm
        left, bottom = self.left_x - margin, self.low_y - margin
        width, height = self.right_x + margin - left, self.top_y + margin - bottom
        right, top = left + width, bottom + height
        paper = ((left, bottom), (right, bottom), (right, top), (left, top))
        told = ", ".join(f"{t.place} {t.note} {self.say(t.length_mm or 0.0)}" for t in drum.tongues)
        layers = [Layer(name="paper", pen=Pen(fill=style.PAPER), shapes=(Region(outer=paper),))]
        layers += [Layer(name=n, pen=pen, shapes=tuple(s)) for n, (pen, s) in self.layers.items() if s]
        return Sheet(
            width_mm=width,
            height_mm=height,
            left_mm=left,
            bottom_mm=bottom,
            to_size=(-EDGE_MM, -EDGE_MM, drum.top.length_mm + EDGE_MM, drum.top.width_mm + EDGE_MM),
            loose=(self.west - EDGE_MM, self.south - EDGE_MM, self.east + EDGE_MM, self.north + EDGE_MM),
            tags=tongue_tags(drum, self.drawn),
            notes=tuple(self.notes),
            marks=tuple(self._entries()),
            title=f"{drum.name}: the top, seen from above",
            description=(
                f"A board {self.say(drum.top.length_mm)} long and "
                f"{self.say(drum.top.width_mm)} wide, front edge below. Tongues: {told}."
            ),
            layers=tuple(layers),
        )


def _root_lines(drum: Drum, drawn: Outline) -> list[Line]:
    """The root lines where tongues stand on them, neighbours' joined."""
    lines = drawn.layout
    drawn_lines = []
    for side, x in (("left", lines.root_left_mm), ("right", lines.root_right_mm)):
        rows = sorted(t.row or 0 for t in drum.tongues if t.side == side)
        for row in rows:
            if row - 1 in rows:
                continue
            last = row
            while last + 1 in rows:
                last += 1
            drawn_lines.append(Line(points=((x, lines.slot_ys_mm[row - 1]), (x, lines.slot_ys_mm[last]))))
    return drawn_lines


def _depth_figure(bore: Bore, say: Measure, body_mm: float) -> Text:
    """The depth of a bore, written in the lower part of it, clear of a strike mark."""
    height = max(style.SMALLEST_MM, min(0.2 * bore.diameter_mm, body_mm))
    at = (bore.x_mm, bore.y_mm - 0.42 * bore.diameter_mm)
    words = say.figure(bore.depth_mm)
    return Text(at=at, words=words, height_mm=height, anchor="middle")


def _listed(lengths_mm: list[float], say: Measure) -> str:
    """Several lengths in words: 16, 20 and 25 mm."""
    *first, last = [say.figure(mm) for mm in lengths_mm]
    return f"{', '.join(first)} and {last} {say.units}" if first else f"{last} {say.units}"


def _shortened(words: str, *, width_mm: float, height_mm: float) -> str:
    """A name cut to what fits on one line."""
    most = max(4, int(width_mm / text_width_mm("n", height_mm, bold=True)))
    one_line = " ".join(words.split())
    return one_line if len(one_line) <= most else one_line[: most - 1] + "…"


def _grain_words(angle_deg: float) -> str:
    if angle_deg == 0.0:
        return "Grain: along the length"
    way = "counter-clockwise" if angle_deg > 0.0 else "clockwise"
    return f"Grain: {abs(angle_deg):g}° {way} from the length"
