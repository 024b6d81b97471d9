"""Where the words of a drawing stand on the pages that it is shared out over: whole, and not on one another.

Each page shows words only inside its cell, the part of it that stays in sight when the pages are taped. Words that
may stand in several places (`Text.spots`) are said on every page on which one of them lies whole; of the places that
are free, the one with the least of other lines under it, then the nearest. Words that no page would show whole are
moved, with a line to what they name. Boxes in mm of the drawing, (west, south, east, north), as words are printed.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from kerftone.draw.fonts import width_mm
from kerftone.draw.sheet import Bounds, Circle, Layer, Line, Outlined, Pen, Point, Region, Shade, Shape, Text
from kerftone.draw.style import INK

AIR_MM = 0.4
"""What stays free round words."""
FAINT = 0.4
"""A dashed or thin line under words counts for so much of a full one."""
MOVED_MM, STEP_MM = 60.0, 2.0
"""How far words are moved at most that no page shows whole, and in what steps."""
CROWDED_MM = 1.0
"""Words are not said again where they would cross so much more of other lines than on another page."""
LEADER = Pen(stroke=INK, width_mm=0.25)
"""From words to what they name; own judgement."""
LEADERS = "leaders"
OWN = ("measure", "dimension", "waste", "keep out", "legend", "check bar")
"""Layers on whose lines words with a plate under them are meant to stand."""
_LOW = set("gjpqy,;()")


@dataclass(frozen=True, kw_only=True)
class Cell:
    """A page's part of the drawing for words, and what is taken there already."""

    bounds: Bounds
    taken: tuple[Bounds, ...] = ()


@dataclass(frozen=True, kw_only=True)
class _Group:
    """Words that move together, each with the number of its layer."""

    texts: tuple[tuple[int, Text], ...]

    @cached_property
    def boxes(self) -> tuple[Bounds, ...]:
        return tuple(words_box(text) for _, text in self.texts)

    @cached_property
    def steps(self) -> list[Point]:
        """By how much it may be moved, the least first."""
        (x, y), spots = self.texts[0][1].at, self.texts[0][1].spots
        steps = {(0.0, 0.0), *((a - x, b - y) for a, b in spots)}
        return sorted(steps, key=lambda step: (math.hypot(*step), step))

    @property
    def plated(self) -> bool:
        return all(text.plate is not None for _, text in self.texts)

    def moved(self, step: Point) -> _Group:
        texts = (
            (layer, replace(text, at=(text.at[0] + step[0], text.at[1] + step[1])))
            for layer, text in self.texts
        )
        return _Group(texts=tuple(texts))


def words_box(text: Text) -> Bounds:
    """The room that these words take as they are printed; turned words by quarters only."""
    wide = width_mm(text.words, text.height_mm, bold=text.bold)
    west = -{"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    low = -0.3 * text.height_mm if _LOW & set(text.words) else 0.0
    corners = [(west, low), (west + wide, text.height_mm)]
    turn = math.radians(text.angle_deg)
    turned = [
        (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)) for x, y in corners
    ]
    xs, ys = zip(*turned, strict=True)
    x, y = text.at
    return x + min(xs), y + min(ys), x + max(xs), y + max(ys)


class _Ground:
    """The lines of a drawing, to ask how much of them lies under some words."""

    def __init__(self, layers: Sequence[Layer]) -> None:
        lines, weights = [], []
        for layer in layers:
            if layer.pen.stroke is None or layer.name == LEADERS:
                continue
            weight = FAINT if layer.pen.dash_mm or layer.pen.width_mm < 0.3 else 1.0
            own = layer.name.startswith(OWN)
            for run in itertools.chain.from_iterable(map(_runs, layer.shapes)):
                lines.append(shapely.linestrings(run))
                weights.append((weight, 0.0 if own else weight))
        self.tree = STRtree(lines)
        self.weights: NDArray[np.float64] = np.array(weights).reshape(-1, 2)

    def under(self, box: Bounds, *, plated: bool) -> float:
        """How many mm of lines run under this box; on a plate the lines it is meant for do not count."""
        area = shapely.box(*box)
        found = self.tree.query(area, predicate="intersects")
        if not len(found):
            return 0.0
        long = shapely.length(shapely.intersection(self.tree.geometries.take(found), area))
        return float(long @ self.weights[found, int(plated)])


def _runs(shape: Shape) -> Iterator[Sequence[Point]]:
    match shape:
        case Line(points=points):
            yield points
        case Region(outer=outer, holes=holes):
            yield from ((*ring, ring[0]) for ring in (outer, *holes))
        case Shade(rings=rings):
            yield from ((*ring, ring[0]) for ring in rings)
        case Circle(centre=(x, y), radius_mm=radius):
            turns = [2.0 * math.pi * n / 24 for n in range(25)]
            yield [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]
        case Outlined(rings=rings):
            for path in rings:
                chords = path.chords(most_deg=10.0)
                yield [*chords, chords[0]]
        case _:
            return


def seated(layers: Sequence[Layer], cells: Sequence[Cell]) -> list[tuple[Layer, ...]]:
    """The layers for each of these cells, with the words that stand whole in it.

    Held by tests/draw/test_word_places.py, and by tests/draw/test_templates.py on the printed pages.
    """
    ground, groups = _Ground(layers), _groups(layers)
    pages: list[list[_Group]] = [[] for _ in cells]
    taken = [list(cell.taken) for cell in cells]
    homeless = []
    for group in groups:
        placed = [_place(group, group.steps, cell, taken[n], ground) for n, cell in enumerate(cells)]
        least = min((one[0] for one in placed if one is not None), default=0.0)
        for number, one in enumerate(placed):
            if one is not None and one[0] < least + CROWDED_MM:
                pages[number].append(one[1])
                taken[number] += one[1].boxes
        if not any(placed):
            homeless.append(group)
    for group in homeless:
        _house(group, cells, pages, taken, ground)
    return [_with_words(layers, page) for page in pages]


def _groups(layers: Sequence[Layer]) -> list[_Group]:
    """The words of these layers, those with the least choice first."""
    found: dict[str, list[tuple[int, Text]]] = {}
    for number, layer in enumerate(layers):
        for at, shape in enumerate(layer.shapes):
            if isinstance(shape, Text) and shape.words.strip():
                found.setdefault(shape.group or f"{number}.{at}", []).append((number, shape))
    groups = [_Group(texts=tuple(texts)) for texts in found.values()]
    return sorted(groups, key=lambda group: len(group.texts[0][1].spots))


def _place(
    group: _Group, steps: Iterable[Point], cell: Cell, taken: list[Bounds], ground: _Ground
) -> tuple[float, _Group] | None:
    """The group at its best place in this cell, and how many mm of lines it crosses; None where it does not fit."""
    best: tuple[float, Point] | None = None
    for step in steps:
        boxes = [_shifted(box, step) for box in group.boxes]
        if not all(_within(box, cell.bounds) for box in boxes):
            continue
        if any(_meet(box, other) for box in boxes for other in taken):
            continue
        cost = sum(ground.under(box, plated=group.plated) for box in boxes)
        if best is None or cost < best[0] - 0.5:
            best = (cost, step)
        if cost < 0.5:
            break
    return None if best is None else (best[0], group.moved(best[1]))


def _house(
    group: _Group,
    cells: Sequence[Cell],
    pages: list[list[_Group]],
    taken: list[list[Bounds]],
    ground: _Ground,
) -> None:
    """Move words that no page shows whole to the nearest free place of any; a line leads to what they name."""
    x, y = (0.5 * (group.boxes[0][n] + group.boxes[0][n + 2]) for n in (0, 1))
    count = int(MOVED_MM / STEP_MM)
    raster = [(i * STEP_MM, j * STEP_MM) for i in range(-count, count + 1) for j in range(-count, count + 1)]
    raster.sort(key=lambda step: math.hypot(*step))
    best: tuple[float, int, _Group] | None = None
    for number, cell in enumerate(cells):
        tried = _place(group, raster, cell, taken[number], ground)
        if tried is None:
            continue
        crossed, placed = tried
        cost = 20.0 * crossed + math.dist(placed.texts[0][1].at, group.texts[0][1].at)
        if best is None or cost < best[0]:
            best = (cost, number, placed)
    if best is None:
        return
    _, number, placed = best
    layer, text = placed.texts[0]
    if text.leader is None and math.dist(text.at, group.texts[0][1].at) > 6.0:
        placed = _Group(texts=((layer, replace(text, leader=(x, y))), *placed.texts[1:]))
    pages[number].append(placed)
    taken[number] += placed.boxes


def _with_words(layers: Sequence[Layer], groups: Sequence[_Group]) -> tuple[Layer, ...]:
    """The layers with these words in the place of their own, and the lines from words to what they name."""
    words: dict[int, list[Text]] = {}
    for number, text in itertools.chain.from_iterable(group.texts for group in groups):
        words.setdefault(number, []).append(text)
    found = []
    for number, layer in enumerate(layers):
        shapes = tuple(shape for shape in layer.shapes if not isinstance(shape, Text))
        if layer.name != LEADERS:
            found.append(replace(layer, shapes=(*shapes, *words.get(number, ()))))
    lines = tuple(itertools.chain.from_iterable(leader_lines([text for _, text in g.texts]) for g in groups))
    return (*found, Layer(name=LEADERS, pen=LEADER, shapes=lines)) if lines else tuple(found)


def leader_lines(texts: Sequence[Text]) -> tuple[Shape, ...]:
    """The line from some words to what they name, with a dot at its end; nothing where they stand on it."""
    to = next((text.leader for text in texts if text.leader is not None), None)
    if to is None:
        return ()
    boxes = [words_box(text) for text in texts]
    west, south = min(b[0] for b in boxes) - 0.8, min(b[1] for b in boxes) - 0.8
    east, north = max(b[2] for b in boxes) + 0.8, max(b[3] for b in boxes) + 0.8
    start = min(max(to[0], west), east), min(max(to[1], south), north)
    if math.dist(start, to) < 1.0:
        return ()
    return Line(points=(start, to)), Circle(centre=to, radius_mm=0.5)


def _shifted(box: Bounds, step: Point) -> Bounds:
    return box[0] + step[0], box[1] + step[1], box[2] + step[0], box[3] + step[1]


def _within(box: Bounds, cell: Bounds) -> bool:
    return box[0] >= cell[0] and box[1] >= cell[1] and box[2] <= cell[2] and box[3] <= cell[3]


def _meet(one: Bounds, other: Bounds) -> bool:
    across = one[0] < other[2] + AIR_MM and other[0] < one[2] + AIR_MM
    return across and one[1] < other[3] + AIR_MM and other[1] < one[3] + AIR_MM
