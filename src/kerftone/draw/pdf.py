"""Drawings at full size as a PDF that any printer prints: tiles to tape together, each with its proof of size.

Every page carries, at its foot, a bar of 100 mm and one of 4 inches, the page's name, where it lies among
the others (the page map), and what to do in words. A drawing in tiles begins with a cover (`cover.py`). Tiles
overlap: a dashed line marks where the neighbour's edge comes, and rings with a cross, printed on both, must fall on
each other. The drawing is never scaled.

What is drawn comes as sheets (`sheet.py`), how it is shared out is `paper.py`, and shapes are put down by
`ink.py`. Reading the pages back proves it: tests/draw/test_pdf.py.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from kerftone.draw import style
from kerftone.draw.cover import draw_cover
from kerftone.draw.fonts import BOLD_FONT, CAPITAL_PER_SIZE, WORDS_FONT, printable, use_fonts
from kerftone.draw.ink import POINTS_PER_MM, draw_layers, write
from kerftone.draw.paper import BORDER_MM, STRIP_MM, Tile, Tiling, tiling
from kerftone.draw.sheet import Bounds, Circle, Layer, Line, Pen, Region, Sheet, Text
from kerftone.drum.paper import PAPERS_MM
from kerftone.drum.shop import Paper
from kerftone.units import MM_PER_INCH

BAR_TALL_MM = 3.0
WORDS_MM = style.SMALLEST_MM
LEAST_WORDS_MM = 2.4
MARK_MM = 3.0
MAP_MM = (40.0, 24.0)
THIN = Pen(stroke=style.SLATE, width_mm=0.2)
TAPE = Pen(stroke=style.SLATE, width_mm=0.2, dash_mm=(3.0, 2.0))


@dataclass(frozen=True)
class _Page:
    """One page while it is drawn; without a tile it is the cover."""

    canvas: Any
    sheet: Sheet
    tiled: Tiling
    tile: Tile | None
    number: int
    count: int


def pdf_file(sheets: Sequence[Sheet], *, paper: Paper = "a4", title: str = "") -> bytes:
    """These drawings as one PDF at full size, tiled where they are larger than the paper.

    The same drawings give the same bytes: no date is written. Held by tests/draw/test_pdf.py.
    """
    from reportlab.pdfgen.canvas import Canvas

    use_fonts()
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=WORDS_FONT)
    canvas.setTitle(printable(title or (sheets[0].title if sheets else "")))
    canvas.setCreator("Kerftone")
    canvas.setViewerPreference("PrintScaling", "None")
    laid = [(sheet, tiling(sheet, paper)) for sheet in sheets]
    count = sum(tiled.pages for _, tiled in laid)
    number = 0
    for sheet, tiled in laid:
        tiles: list[Tile | None] = [None] if tiled.cover else []
        for tile in (*tiles, *tiled.tiles):
            number += 1
            _page(_Page(canvas, sheet, tiled, tile, number, count), paper)
    canvas.save()
    return stream.getvalue()


def _page(page: _Page, paper: Paper) -> None:
    """The cover, upright, or a tile; under either the strip with the bars."""
    canvas = page.canvas
    size = page.tiled.page_mm if page.tile else PAPERS_MM[paper]
    canvas.setPageSize(tuple(mm * POINTS_PER_MM for mm in size))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    if page.tile is None:
        draw_cover(canvas, page.sheet, page.tiled, size)
    else:
        _piece(page, page.tile)
    _strip(page, size)
    canvas.showPage()


def _piece(page: _Page, tile: Tile) -> None:
    """One tile: the drawing inside its window and the marks round it."""
    canvas = page.canvas
    wide, tall = page.tiled.window_mm
    canvas.saveState()
    canvas.translate(BORDER_MM, BORDER_MM + STRIP_MM)
    window = canvas.beginPath()
    window.rect(0.0, 0.0, wide, tall)
    canvas.saveState()
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(-tile.left_mm, -tile.bottom_mm)
    if page.tiled.cover:
        # What stands round the drawing is on the cover; halves of it would only be in the way.
        west, south, east, north = page.tiled.bounds
        shown = canvas.beginPath()
        shown.rect(west, south, east - west, north - south)
        canvas.clipPath(shown, stroke=0, fill=0)
        draw_layers(canvas, tuple(_inside(layer, page.tiled.bounds) for layer in page.sheet.layers))
    else:
        draw_layers(canvas, page.sheet.layers)
    canvas.restoreState()
    if len(page.tiled.tiles) > 1:
        _marks(page, tile)
    canvas.restoreState()


def _inside(layer: Layer, bounds: Bounds) -> Layer:
    """The layer without words that begin outside: hidden, they would still be found and read aloud."""
    west, south, east, north = bounds
    kept = tuple(
        shape
        for shape in layer.shapes
        if not isinstance(shape, Text) or (west <= shape.at[0] <= east and south <= shape.at[1] <= north)
    )
    return replace(layer, shapes=kept)


def _marks(page: _Page, tile: Tile) -> None:
    """The tile's edge to cut along, the lines where neighbours come, and the rings that must meet."""
    (wide, tall), over = page.tiled.window_mm, page.tiled.overlap_mm
    right = page.tiled.at(tile.row, tile.column + 1) is not None
    below = page.tiled.at(tile.row + 1, tile.column) is not None
    edge = Region(outer=((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)))
    tape: list[Line] = []
    rings: list[tuple[float, float]] = []
    words: list[Text] = []
    half = 0.5 * over
    if right:
        name = f"{page.tiled.at(tile.row, tile.column + 1).name}'s left edge comes here"  # type: ignore[union-attr]
        tape.append(Line(points=((wide - over, 0.0), (wide - over, tall))))
        at = (wide - over - 1.0, 0.5 * tall)
        words.append(Text(at=at, words=name, height_mm=WORDS_MM, anchor="middle", angle_deg=90.0))
    if below:
        name = f"{page.tiled.at(tile.row + 1, tile.column).name}'s upper edge comes here"  # type: ignore[union-attr]
        tape.append(Line(points=((0.0, over), (wide, over))))
        words.append(Text(at=(0.5 * wide, over + 1.0), words=name, height_mm=WORDS_MM, anchor="middle"))
    for x, there in ((half, tile.column > 0), (wide - half, right)):
        rings += [(x, share * tall) for share in (0.25, 0.75) if there]
    for y, there in ((tall - half, tile.row > 0), (half, below)):
        rings += [(share * wide, y) for share in (0.25, 0.75) if there]
    draw_layers(
        page.canvas,
        (
            Layer(name="edge", pen=THIN, shapes=(edge, *_crop(wide, tall))),
            Layer(name="tape", pen=TAPE, shapes=tuple(tape)),
            Layer(name="rings", pen=THIN, shapes=tuple(s for at in rings for s in _ring(at))),
            Layer(name="words", pen=Pen(fill=style.SLATE, halo=style.PAPER), shapes=tuple(words)),
        ),
    )


def _crop(wide: float, tall: float) -> tuple[Line, ...]:
    """Short lines outside each corner, in line with the edges."""
    long, gap = 5.0, 1.0
    lines = []
    for x, way in ((0.0, -1.0), (wide, 1.0)):
        for y, up in ((0.0, -1.0), (tall, 1.0)):
            lines.append(Line(points=((x + way * gap, y), (x + way * long, y))))
            lines.append(Line(points=((x, y + up * gap), (x, y + up * long))))
    return tuple(lines)


def _ring(at: tuple[float, float]) -> tuple[Circle | Line, ...]:
    x, y = at
    return (
        Circle(centre=at, radius_mm=0.6 * MARK_MM),
        Line(points=((x - MARK_MM, y), (x + MARK_MM, y))),
        Line(points=((x, y - MARK_MM), (x, y + MARK_MM))),
    )


def _strip(page: _Page, size: tuple[float, float]) -> None:
    """The foot of the page: bars, words, page map."""
    left, low = BORDER_MM, BORDER_MM
    black: list[Region] = []
    white: list[Region] = []
    _bar(black, white, (left, low), 10.0, 10)
    _bar(black, white, (left, low + 7.0), 0.5 * MM_PER_INCH, 8)
    draw_layers(
        page.canvas,
        (
            Layer(name="black", pen=Pen(fill=style.INK), shapes=tuple(black)),
            Layer(name="white", pen=Pen(fill=style.PAPER), shapes=tuple(white)),
        ),
    )
    _frame(page.canvas, (left, low), 100.0)
    _frame(page.canvas, (left, low + 7.0), 4.0 * MM_PER_INCH)
    for y, words in ((low, "100 mm"), (low + 7.0, "4 inches")):
        at = (left + 4.0 * MM_PER_INCH + 3.0, y)
        write(page.canvas, Text(at=at, words=words, height_mm=WORDS_MM), style.INK)
    _words(page, low, size)
    if page.tile is not None and len(page.tiled.tiles) > 1:
        _map(page)


def _bar(black: list[Region], white: list[Region], at: tuple[float, float], step: float, steps: int) -> None:
    x, y = at
    for i in range(steps):
        a, b = x + i * step, x + (i + 1) * step
        (white if i % 2 else black).append(
            Region(outer=((a, y), (b, y), (b, y + BAR_TALL_MM), (a, y + BAR_TALL_MM)))
        )


def _frame(canvas: Any, at: tuple[float, float], long: float) -> None:
    """A hairline round a bar, inside it, so that its ends are its ends."""
    thin = 0.1
    canvas.saveState()
    canvas.setStrokeColor(style.INK)
    canvas.setLineWidth(thin)
    canvas.rect(at[0] + 0.5 * thin, at[1] + 0.5 * thin, long - thin, BAR_TALL_MM - thin, stroke=1, fill=0)
    canvas.restoreState()


def _words(page: _Page, low: float, size: tuple[float, float]) -> None:
    """What this page is and what to do with it."""
    many = page.tile is not None and len(page.tiled.tiles) > 1
    which = f", tile {page.tile.name}" if page.tile and many else ", cover" if page.tile is None else ""
    room = size[0] - 2.0 * BORDER_MM - (MAP_MM[0] + 6.0 if many else 0.0)
    head = f"Page {page.number} of {page.count}{which}. {page.sheet.title}"
    told = "Print at 100 %, never “fit to page”. Check both bars with a rule."
    for y, words, bold in ((low + 22.0, head, True), (low + 15.0, told, False)):
        text = Text(at=(BORDER_MM, y), words=printable(words), height_mm=WORDS_MM, bold=bold)
        write(page.canvas, _fitting(page.canvas, text, room), style.INK)


def _fitting(canvas: Any, text: Text, room: float) -> Text:
    """These words made to fit: a little smaller, and cut only where that is not enough."""
    font = BOLD_FONT if text.bold else WORDS_FONT

    def wide(words: str, height: float) -> float:
        return float(canvas.stringWidth(words, font, height / CAPITAL_PER_SIZE))

    words = text.words
    height = max(LEAST_WORDS_MM, text.height_mm * min(1.0, room / max(wide(words, text.height_mm), 1e-9)))
    while len(words) > 5 and wide(words, height) > room + 1e-6:
        words = words[:-2].rstrip() + "…"
    return replace(text, words=words, height_mm=height)


def _map(page: _Page) -> None:
    """Where this page lies among the others, its own cell dark."""
    tiled = page.tiled
    cell_x = min(MAP_MM[0] / tiled.columns, 14.0)
    cell_y = min(MAP_MM[1] / tiled.rows, 10.0)
    left = page.tiled.page_mm[0] - BORDER_MM - cell_x * tiled.columns
    top = BORDER_MM + 0.5 * (MAP_MM[1] + cell_y * tiled.rows)
    for tile in tiled.tiles:
        own = tile == page.tile
        x, y = left + tile.column * cell_x, top - (tile.row + 1) * cell_y
        corners = ((x, y), (x + cell_x, y), (x + cell_x, y + cell_y), (x, y + cell_y))
        pen = Pen(stroke=style.INK, width_mm=0.25, fill=style.INK if own else style.PAPER)
        draw_layers(page.canvas, (Layer(name="cell", pen=pen, shapes=(Region(outer=corners),)),))
        height = min(2.6, 0.5 * cell_y)
        at = (x + 0.5 * cell_x, y + 0.5 * (cell_y - height))
        ink = style.PAPER if own else style.INK
        write(page.canvas, Text(at=at, words=tile.name, height_mm=height, anchor="middle", bold=own), ink)
