"""How the top moves when one note sounds: a small map seen from above.

Rust where the wood goes up while the tongue goes up, sea green where it goes down, deeper the further; bare
where it hardly moves. In grey print the two are told apart by their signs, + and -, and by their lines: full
for up, dashed for down. The heavy line is where the wood stands still between the two.

Works on plain arrays: points, triangles and how far each point is lifted. The scale is the largest lift of
this picture, for a mode has a shape and no size.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from kerftone.draw import style
from kerftone.draw.contour import level_lines, rings_above
from kerftone.draw.layout import regions
from kerftone.draw.seams import seamless
from kerftone.draw.sheet import Layer, Line, Pen, Point, Shade, Sheet, Text
from kerftone.drum.outline import Outline

Array = NDArray[np.floating[Any]]
Indices = NDArray[np.integer[Any]]

# Shares of the largest lift at which the shade steps, and its colours from faint to full. Own palette.
STEPS = (0.06, 0.2, 0.4, 0.6, 0.8)
UP = ("#f7e3d6", "#edbfa4", "#dd9470", "#c4643f", "#97331a")
DOWN = ("#dcebe9", "#b1d3d2", "#7db3b5", "#428b92", "#0b5563")
# A tongue is marked with its sign where the lift is at least this share of the largest.
MARKED = 0.25
MARK_MM = 13.0
"""Height of the signs + and -; own judgement."""
# In wood that hardly moves a line of rest says nothing: the lift must rise by the first step in so many mm.
RISES_IN_MM = 45.0
FINEST_MM = 0.35
"""A line is drawn no nearer to its curve than a pen is wide; own judgement."""


def mode_picture(
    *,
    points_mm: Array,
    triangles: Indices,
    lift: Array,
    drawn: Outline,
    title: str,
    tongue: int | None = None,
) -> Sheet:
    """The map of one mode's up and down motion over the plan of the top.

    points_mm (p, 2), triangles (t, 3) of point numbers, lift (p,) in any unit. drawn: the drum's outline.
    tongue: the one (counted from 0) whose edge is drawn heavy and whose largest motion counts as up; without
    one, the largest motion of all does. Held by tests/draw/test_mode_picture.py.

    Parameters
    ----------
    points_mm : Array
        The mesh's points, (p, 2), in mm.
    triangles : Indices
        Numbers of points, (t, 3).
    lift : Array
        The upward motion at each point, (p,), in any unit.
    drawn : Outline
        The outline of the top, in mm.
    title : str
        Over the picture.
    tongue : int | None, optional
        The one, counted from 0, whose edge is heavy and whose largest motion counts as up; None for
        the largest of all.
    """
    points, trios, lifted = seamless(np.asarray(points_mm), np.asarray(triangles), np.asarray(lift))
    values = _scaled(points, lifted, drawn, tongue)
    mesh = (points, trios)
    layers = [Layer(name="top", pen=Pen(fill=style.WOOD), shapes=regions(drawn.top))]
    layers += _shades(mesh, values)
    layers.append(Layer(name="at rest", pen=_REST, shapes=_rest_lines(mesh, values)))
    edges = regions(drawn.top)
    layers.append(Layer(name="edges", pen=Pen(stroke=style.INK, width_mm=0.6), shapes=edges))
    if tongue is not None:
        layers.append(Layer(name="tongue", pen=_CHOSEN, shapes=regions(drawn.tongues[tongue])))
    layers.append(Layer(name="marks", pen=_MARKS, shapes=_marks(mesh, values, drawn)))
    west, south, east, north = drawn.board.bounds
    up, down = float(np.max(values)), float(-np.min(values))
    return Sheet(
        width_mm=east - west + 2.0,
        height_mm=north - south + 2.0,
        left_mm=west - 1.0,
        bottom_mm=south - 1.0,
        title=title,
        description=(
            f"Motion of the top seen from above. Furthest up {up:.2f}, furthest down {down:.2f} "
            f"of the largest. {_moving_tongues(mesh[0], values, drawn)}"
        ),
        layers=tuple(layers),
    )


_REST = Pen(stroke=style.INK, width_mm=1.3)
_CHOSEN = Pen(stroke=style.INK, width_mm=1.8)
_MARKS = Pen(fill=style.INK, halo=style.PAPER)
_CONTOUR_UP = "#7a2a17"
_CONTOUR_DOWN = "#0a4a56"


def _scaled(points: Array, lift: Array, drawn: Outline, tongue: int | None) -> Array:
    """The lift over its largest, with the sign that makes the chosen tongue go up."""
    largest = float(np.max(np.abs(lift)))
    if largest == 0.0:
        return np.zeros(len(lift))
    chosen = lift
    if tongue is not None:
        inside = _within(points, drawn.tongues[tongue])
        if np.any(inside):
            chosen = lift[inside]
    sign = np.sign(chosen[np.argmax(np.abs(chosen))]) or 1.0
    return np.asarray(sign * lift / largest)


def _shades(mesh: tuple[Array, Indices], values: Array) -> list[Layer]:
    """Bands of colour: the area above each step, laid one over the other, faint first."""
    layers = []
    for name, sign, colours, edge in (
        ("up", 1.0, UP, _CONTOUR_UP),
        ("down", -1.0, DOWN, _CONTOUR_DOWN),
    ):
        dash = () if sign > 0.0 else (2.0, 1.6)
        for step, colour in zip(STEPS, colours, strict=True):
            rings = rings_above(*mesh, sign * values, step)
            if rings:
                pen = Pen(stroke=edge, width_mm=0.25, dash_mm=dash, fill=colour)
                shade = Shade(rings=tuple(thinned(ring, closed=True) for ring in rings))
                layers.append(Layer(name=f"{name} {step:g}", pen=pen, shapes=(shade,)))
    return layers


def _rest_lines(mesh: tuple[Array, Indices], values: Array) -> tuple[Line, ...]:
    """Where up turns into down, but only through wood that moves at all."""
    points, triangles = mesh
    lively = _slope(points[triangles], values[triangles]) * RISES_IN_MM >= STEPS[0]
    lines = level_lines(points, triangles[lively], values, 0.0)
    return tuple(Line(points=thinned(line, closed=False)) for line in lines if _long(line))


def rest_lines(*, points_mm: Array, triangles: Indices, lift: Array) -> tuple[tuple[Point, ...], ...]:
    """Where the wood stands still while the rest of it moves: lines over the plan, in mm.

    Parameters
    ----------
    points_mm : Array
        The mesh's points, (p, 2), in mm.
    triangles : Indices
        Numbers of points, (t, 3).
    lift : Array
        The upward motion at each point, (p,), in any unit.
    """
    points, trios, lifted = seamless(np.asarray(points_mm), np.asarray(triangles), np.asarray(lift))
    largest = float(np.max(np.abs(lifted))) or 1.0
    return tuple(tuple(line.points) for line in _rest_lines((points, trios), lifted / largest))


def _slope(corners: Array, values: Array) -> Array:
    """How steeply the values change over each triangle, per mm: corners (t, 3, 2), values (t, 3)."""
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    da, db = values[:, 1] - values[:, 0], values[:, 2] - values[:, 0]
    twice = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    along = da[:, None] * b - db[:, None] * a
    return np.hypot(along[:, 0], along[:, 1]) / np.maximum(np.abs(twice), 1e-12)


def _long(line: Sequence[Point]) -> bool:
    steps = np.diff(np.array(line), axis=0)
    return float(np.sum(np.hypot(steps[:, 0], steps[:, 1]))) > 10.0


def thinned(points: Sequence[Point], *, closed: bool) -> tuple[Point, ...]:
    """The line with points left out that lie within a third of a millimetre of the straight run past them.

    Ramer's and Douglas and Peucker's rule (from memory): keep the point furthest from the chord, then each
    half in turn. A closed line is cut at its first point and at the one furthest from it.
    """
    path = np.array(points)
    if len(path) < 4:
        return tuple(points)
    if not closed:
        kept = [*_kept(path, 0, len(path) - 1), len(path) - 1]
    else:
        far = int(np.argmax(np.sum((path - path[0]) ** 2, axis=1)))
        around = np.vstack([path, path[:1]])
        kept = [*_kept(around, 0, far), *_kept(around, far, len(path))]
    # An island smaller than the tolerance would vanish into a line: it stays as it is.
    if closed and len(kept) < 3:
        return tuple(points)
    return tuple(points[i] for i in kept)


def _kept(path: Array, first: int, last: int) -> list[int]:
    """Which points to keep from first up to, not including, last."""
    kept, waiting = [], [(first, last)]
    while waiting:
        a, b = waiting.pop()
        chord = path[b] - path[a]
        off = path[a + 1 : b] - path[a]
        long = float(np.hypot(*chord))
        if len(off) and long > 0.0:
            away = np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0]) / long
        else:
            away = np.hypot(off[:, 0], off[:, 1])
        if len(away) and float(np.max(away)) > FINEST_MM:
            middle = a + 1 + int(np.argmax(away))
            waiting += [(middle, b), (a, middle)]
        else:
            kept.append(a)
    return sorted(kept)


def _marks(mesh: tuple[Array, Indices], values: Array, drawn: Outline) -> tuple[Text, ...]:
    """A plus or a minus on each tongue, or part of one, that moves well: in the middle of its motion."""
    points, triangles = mesh
    corners = points[triangles]
    middle = corners.mean(axis=1)
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 0.5 * np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    lift = values[triangles].mean(axis=1)
    marks = []
    for shape in drawn.tongues:
        inside = _within(middle, shape)
        for sign, words in ((1.0, "+"), (-1.0, "\N{MINUS SIGN}")):
            weight = np.where(inside & (sign * lift >= MARKED), area * np.abs(lift), 0.0)
            if np.sum(weight) == 0.0:
                continue
            x, y = _inside(np.average(middle, axis=0, weights=weight), shape)
            at = (x, y - 0.5 * MARK_MM)
            marks.append(Text(at=at, words=words, height_mm=MARK_MM, anchor="middle", bold=True))
    return tuple(marks)


def _inside(point: Array, shape: Polygon) -> Point:
    """This point, moved so that a mark on it stays on the tongue where it is wide enough."""
    west, south, east, north = shape.bounds
    ends = ((west, east), (south, north))
    room = (min(0.6 * MARK_MM, 0.5 * (high - low)) for low, high in ends)
    x, y = (
        min(max(float(c), low + air), high - air)
        for c, (low, high), air in zip(point, ends, room, strict=True)
    )
    return x, y


def _within(points: Array, shape: Polygon) -> NDArray[np.bool_]:
    """Which points lie in the box round this tongue: the box is enough, between slots there is only it."""
    west, south, east, north = shape.bounds
    x, y = points[:, 0], points[:, 1]
    return np.asarray((x >= west) & (x <= east) & (y >= south) & (y <= north))


def _moving_tongues(points: Array, values: Array, drawn: Outline) -> str:
    """How many tongues move with more than a quarter of the largest lift, in words."""
    moving = sum(bool(np.any(np.abs(values[_within(points, t)]) > MARKED)) for t in drawn.tongues)
    return f"{moving} of {len(drawn.tongues)} tongues move by more than a quarter of it."
