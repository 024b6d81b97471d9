"""The marks by which tiles are taped: where to trim, where the neighbour begins, and squares that must meet.

Tiles overlap. A dashed line marks where a neighbour's edge comes, in the strip beyond it the neighbour's name, and
small checkered squares, printed on both, must fall on each other. They look like nothing else on a drawing, in colour
or in grey: what is struck is a ring with a cross. mm of the page's window, from its lower left corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kerftone.draw import style
from kerftone.draw.sheet import Bounds, Layer, Line, Pen, Point, Region, Text
from kerftone.draw.tiling import Tile, Tiling
from kerftone.draw.word_places import Cell, seated

WORDS_MM = style.SMALLEST_MM
SQUARE_MM = 5.0
"""Large enough to lay one on the other by eye; own judgement."""
THIN = Pen(stroke=style.SLATE, width_mm=0.2)
"""Of the edge to trim by; own judgement."""
TAPE = Pen(stroke=style.SLATE, width_mm=0.3, dash_mm=(3.0, 2.0))
"""Of a neighbour's edge; own judgement."""
NAMES = "names of neighbours"
SHARES = (0.2, 0.8)
"""Where along a seam its squares lie."""


def tape_marks(tiled: Tiling, tile: Tile, layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The marks of one tile; its names of neighbours stand clear of what the drawing's layers show there.

    Nothing for a drawing on one page. Held by tests/draw/test_tape.py.

    Parameters
    ----------
    tiled : Tiling
        The pages of the drawing.
    tile : Tile
        The one to mark.
    layers : Sequence[Layer]
        The drawing.
    """
    if len(tiled.tiles) == 1:
        return ()
    wide, tall = tiled.window_mm
    edge = Region(outer=((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)))
    lines, words, over = [], [], tiled.overlap_mm
    right, below = tiled.at(tile.row, tile.column + 1), tiled.at(tile.row + 1, tile.column)
    if right:
        lines.append(Line(points=((wide - over, 0.0), (wide - over, tall))))
        x = wide - 0.5 * over + 0.5 * WORDS_MM
        spots = tuple((x, share * tall) for share in _spread(tall))
        words.append(_name(right, spots, 90.0))
    if below:
        lines.append(Line(points=((0.0, over), (wide, over))))
        spots = tuple((share * wide, 0.5 * (over - WORDS_MM)) for share in _spread(wide))
        words.append(_name(below, spots, 0.0))
    squares = [_square(at) for at in _places(tiled, tile)]
    named = _seated(tiled, tile, layers, words)
    return (
        Layer(name="edge", pen=THIN, shapes=(edge, *_crop(wide, tall))),
        Layer(name="tape", pen=TAPE, shapes=tuple(lines)),
        Layer(
            name="squares",
            pen=Pen(stroke=style.INK, width_mm=0.2, fill=style.PAPER),
            shapes=tuple(s for s, _ in squares),
        ),
        Layer(
            name="checks", pen=Pen(fill=style.INK), shapes=tuple(c for _, checks in squares for c in checks)
        ),
        named,
    )


def _seated(tiled: Tiling, tile: Tile, layers: Sequence[Layer], words: Sequence[Text]) -> Layer:
    """The names of neighbours where they cross the least of the drawing."""
    pen = Pen(fill=style.SLATE, halo=style.PAPER)
    drawn = [
        replace(layer, shapes=tuple(s for s in layer.shapes if not isinstance(s, Text))) for layer in layers
    ]
    moved = tuple(
        replace(t, at=_into(t.at, tile), spots=tuple(_into(spot, tile) for spot in t.spots)) for t in words
    )
    wide, tall = tiled.window_mm
    west, south = tile.left_mm, tile.bottom_mm
    taken = tuple((a + west, b + south, c + west, d + south) for a, b, c, d in mark_boxes(tiled, tile))
    cell = Cell(bounds=(west, south, west + wide, south + tall), taken=taken)
    shown = seated([*drawn, Layer(name=NAMES, pen=pen, shapes=moved)], (cell,))[0]
    found = next(layer for layer in shown if layer.name == NAMES)
    back = tuple(
        replace(t, at=(t.at[0] - west, t.at[1] - south)) for t in found.shapes if isinstance(t, Text)
    )
    return replace(found, shapes=back)


def _into(at: Point, tile: Tile) -> Point:
    return at[0] + tile.left_mm, at[1] + tile.bottom_mm


def _spread(long: float) -> list[float]:
    """Places along a seam for a name, from its middle outwards."""
    count = max(1, int(0.8 * long / 6.0))
    shares = [0.1 + 0.8 * n / count for n in range(count + 1)]
    return sorted(shares, key=lambda share: abs(share - 0.5))


def _name(tile: Tile, spots: tuple[Point, ...], turn: float) -> Text:
    return Text(
        at=spots[0],
        words=f"{tile.name} begins here",
        height_mm=WORDS_MM,
        anchor="middle",
        angle_deg=turn,
        spots=spots,
        plate=style.PAPER,
    )


def _places(tiled: Tiling, tile: Tile) -> list[Point]:
    """The middles of the squares of this tile."""
    (wide, tall), half = tiled.window_mm, 0.5 * tiled.overlap_mm
    places: list[Point] = []
    for x, there in ((half, tile.column > 0), (wide - half, tiled.at(tile.row, tile.column + 1) is not None)):
        places += [(x, share * tall) for share in SHARES if there]
    for y, there in ((tall - half, tile.row > 0), (half, tiled.at(tile.row + 1, tile.column) is not None)):
        places += [(share * wide, y) for share in SHARES if there]
    return places


def mark_boxes(tiled: Tiling, tile: Tile) -> tuple[Bounds, ...]:
    """What the squares of a tile take, where no words may stand."""
    half = 0.5 * SQUARE_MM
    return tuple((x - half, y - half, x + half, y + half) for x, y in _places(tiled, tile))


def _square(at: Point) -> tuple[Region, tuple[Region, Region]]:
    """A square, and the two quarters of it that are black."""
    (x, y), half = at, 0.5 * SQUARE_MM
    whole = Region(
        outer=((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    )
    checks = tuple(
        Region(outer=((x, y), (x + way * half, y), (x + way * half, y + way * half), (x, y + way * half)))
        for way in (-1.0, 1.0)
    )
    return whole, (checks[0], checks[1])


def _crop(wide: float, tall: float) -> tuple[Line, ...]:
    """Short lines outside each corner, in line with the edges."""
    long, gap = 5.0, 1.0
    lines = []
    for x, way in ((0.0, -1.0), (wide, 1.0)):
        for y, up in ((0.0, -1.0), (tall, 1.0)):
            lines.append(Line(points=((x + way * gap, y), (x + way * long, y))))
            if up > 0.0:  # below stand the words at the page's foot
                lines.append(Line(points=((x, y + up * gap), (x, y + up * long))))
    return tuple(lines)
