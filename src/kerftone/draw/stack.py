"""Two drawings made into one, the second under the first, where together they take less paper. mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kerftone.draw.sheet import (
    Bounds,
    Circle,
    Layer,
    Line,
    Outlined,
    Picture,
    Point,
    Region,
    Shade,
    Shape,
    Sheet,
    Text,
)
from kerftone.draw.tiling import tiling
from kerftone.drum.shop import Paper

BETWEEN_MM = 8.0
"""White between the two; own judgement."""


def closely(sheets: Sequence[Sheet], paper: Paper, *, title: str) -> tuple[Sheet, ...]:
    """These drawings, or their stack where that takes fewer pages; its words name what is above and below.

    Held by tests/draw/test_stack.py.

    Parameters
    ----------
    sheets : Sequence[Sheet]
        Drawings that may share a page; only two at full size are tried.
    paper : Paper
        What they are printed on.
    title : str
        Of the stack.
    """
    if len(sheets) != 2 or any(sheet.to_size is None for sheet in sheets):
        return tuple(sheets)
    apart = [len(tiling(sheet, paper).tiles) for sheet in sheets]
    both = _stack(sheets[0], sheets[1], title)
    fewer = max(apart) > 1 and len(tiling(both, paper).tiles) < sum(apart)
    return (both,) if fewer else tuple(sheets)


def _stack(above: Sheet, below: Sheet, title: str) -> Sheet:
    """The second under the first, their left ends in line."""
    assert above.to_size is not None and below.to_size is not None
    (west, south, east, north), (left, low, right, high) = above.to_size, below.to_size
    dx, dy = west - left, south - BETWEEN_MM - high
    notes = tuple(
        f"{name}: {sheet.title.rpartition(': ')[2]}. {note}" if not number else note
        for name, sheet in (("Above", above), ("Below", below))
        for number, note in enumerate(sheet.notes)
    )
    layers = (
        *(_cut(layer, above.to_size) for layer in above.layers),
        *(_moved(_cut(layer, below.to_size), dx, dy) for layer in below.layers),
    )
    bounds = (west, low + dy, max(east, right + dx), north)
    return replace(
        above,
        left_mm=bounds[0],
        bottom_mm=bounds[1],
        width_mm=bounds[2] - bounds[0],
        height_mm=bounds[3] - bounds[1],
        title=title,
        notes=notes,
        to_size=bounds,
        layers=tuple(layer for layer in layers if layer.shapes),
    )


def _cut(layer: Layer, bounds: Bounds) -> Layer:
    """The layer without what lies beyond these bounds, such as a section beside a wall or the words under it."""
    west, south, east, north = bounds

    def inside(shape: Shape) -> bool:
        return all(west <= x <= east and south <= y <= north for x, y in _points(shape))

    return replace(layer, shapes=tuple(shape for shape in layer.shapes if inside(shape)))


def _points(shape: Shape) -> Sequence[Point]:
    match shape:
        case Line(points=points):
            return points
        case Region(outer=outer):
            return outer
        case Shade(rings=rings):
            return [point for ring in rings for point in ring]
        case Outlined(path=path):
            return path.points
        case Circle(centre=centre):
            return (centre,)
        case Text(at=at):
            return (at,)
        case Picture(bounds=(west, south, east, north)):
            return (west, south), (east, north)


def _moved(layer: Layer, dx: float, dy: float) -> Layer:
    def at(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    def ring(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple(map(at, points))

    def moved(shape: Shape) -> Shape:
        match shape:
            case Line(points=points):
                return Line(points=ring(points))
            case Region(outer=outer, holes=holes):
                return Region(outer=ring(outer), holes=tuple(map(ring, holes)))
            case Shade(rings=rings):
                return Shade(rings=tuple(map(ring, rings)))
            case Outlined(path=path):
                return Outlined(path=path.moved(at), holes=tuple(hole.moved(at) for hole in shape.holes))
            case Circle(centre=centre, radius_mm=radius):
                return Circle(centre=at(centre), radius_mm=radius)
            case Text():
                leader = None if shape.leader is None else at(shape.leader)
                return replace(shape, at=at(shape.at), spots=ring(shape.spots), leader=leader)
            case Picture(bounds=(west, south, east, north)):
                return replace(shape, bounds=(west + dx, south + dy, east + dx, north + dy))

    return replace(layer, shapes=tuple(map(moved, layer.shapes)))
