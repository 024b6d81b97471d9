"""Drawings at full size as a PDF that any printer prints: tiles to tape together, each with its proof of size.

Every page carries, at its foot, a bar of 100 mm and one of 4 inches, the page's name, where it lies among
the others (the page map), and what to do in words. Drawings in tiles share a cover (`cover.py`); the marks by which
they are taped are `tape.py`, and which page says which words is `word_places.py`. The drawing is never scaled.

What is drawn comes as sheets (`sheet.py`), how it is shared out is `printing.py`, and shapes are put down by
`ink.py`. Reading the pages back proves it: tests/draw/test_pdf.py.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from kerftone.draw import style
from kerftone.draw.cover import draw_cover, draw_whole, inside, whole_block
from kerftone.draw.fonts import WORDS_FONT, printable, use_fonts, width_mm
from kerftone.draw.ink import POINTS_PER_MM, draw_layers, write
from kerftone.draw.printing import printing
from kerftone.draw.sheet import Anchor, Bounds, Layer, Pen, Region, Sheet, Text
from kerftone.draw.tape import mark_boxes, tape_marks
from kerftone.draw.tiling import (
    BORDER_MM,
    STRIP_MM,
    CoverPage,
    Laid,
    Page,
    SharedPage,
    Tile,
    TilePage,
    Tiling,
    window_mm,
)
from kerftone.draw.word_places import Cell, seated
from kerftone.drum.shop import Paper
from kerftone.units import MM_PER_INCH

BAR_TALL_MM = 3.0
"""Tall enough to lay a rule on; own judgement."""
BAR_APART_MM = 8.0
"""From one bar to the next, with numbers between; own judgement."""
FOOT_MM = 3.0
"""Of the words at a page's foot; own judgement."""
LEAST_WORDS_MM = 2.4
"""Nothing on a page is set smaller; own judgement."""
MAP_MM = (40.0, 22.0)
"""The most that the page map takes; own judgement."""


@dataclass(frozen=True)
class _Sheet:
    """One sheet of paper while it is drawn, its place among all, and the title of the whole."""

    canvas: Any
    page: Page
    number: int
    count: int
    title: str

    @property
    def tiled(self) -> Tiling | None:
        """The tiling that this page is a part of."""
        return self.page.laid.tiled if isinstance(self.page, TilePage) else None


def pdf_file(sheets: Sequence[Sheet], *, paper: Paper = "a4", title: str = "") -> bytes:
    """These drawings as one PDF at full size, tiled where they are larger than the paper.

    The same drawings give the same bytes: no date is written. Held by tests/draw/test_pdf.py.

    Parameters
    ----------
    sheets : Sequence[Sheet]
        The drawings, in mm.
    paper : Paper, optional
        In the printer.
    title : str, optional
        Of the document.
    """
    from reportlab.pdfgen.canvas import Canvas

    use_fonts()
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=WORDS_FONT)
    canvas.setTitle(printable(title or (sheets[0].title if sheets else "")))
    canvas.setCreator("Kerftone")
    canvas.setViewerPreference("PrintScaling", "None")
    draw_pages(canvas, printing(sheets, paper), title=title)
    canvas.save()
    return stream.getvalue()


def draw_pages(
    canvas: Any, pages: Sequence[Page], *, title: str = "", before: int = 0, after: int = 0
) -> None:
    """Put these pages on a canvas that may have others before and after them, which count too.

    Parameters
    ----------
    canvas : Any
        Of reportlab.
    pages : Sequence[Page]
        In their order.
    title : str, optional
        In the margin of each.
    before : int, optional
        How many pages come before.
    after : int, optional
        How many come after.
    """
    count = before + len(pages) + after
    seats: dict[int, dict[Tile, tuple[Layer, ...]]] = {}
    for number, page in enumerate(pages, start=before + 1):
        sheet = _Sheet(canvas, page, number, count, title)
        size = page.laid.tiled.page_mm if isinstance(page, TilePage) else page.page_mm
        canvas.setPageSize(tuple(mm * POINTS_PER_MM for mm in size))
        canvas.saveState()
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        if isinstance(page, CoverPage):
            draw_cover(canvas, page)
        elif isinstance(page, SharedPage):
            _whole(canvas, page)
        else:
            laid = page.laid
            if id(laid) not in seats:
                seats[id(laid)] = tile_layers(laid)
            _piece(sheet, page, seats[id(laid)][page.tile])
        _strip(sheet, size)
        canvas.restoreState()
        canvas.showPage()


def tile_layers(laid: Laid) -> dict[Tile, tuple[Layer, ...]]:
    """What each tile of a drawing shows: all its lines, and the words that it shows whole."""
    tiled, bounds = laid.tiled, laid.tiled.bounds
    layers = [inside(layer, bounds) if tiled.cover else layer for layer in laid.sheet.layers]
    cells = [
        Cell(bounds=tiled.cell(tile), taken=tuple(_moved(box, tile) for box in mark_boxes(tiled, tile)))
        for tile in tiled.tiles
    ]
    return dict(zip(tiled.tiles, seated(layers, cells), strict=True))


def _moved(box: Bounds, tile: Tile) -> Bounds:
    return box[0] + tile.left_mm, box[1] + tile.bottom_mm, box[2] + tile.left_mm, box[3] + tile.bottom_mm


def _whole(canvas: Any, page: SharedPage) -> None:
    """Drawings one under the other, spread over the page's height."""
    wide, tall = window_mm(page.page_mm)
    blocks = [whole_block(one, wide) for one in page.laid]
    gap = (tall - sum(block.high for block in blocks)) / len(blocks)
    canvas.saveState()
    canvas.translate(BORDER_MM, BORDER_MM + STRIP_MM + tall)
    for block in blocks:
        draw_whole(canvas, block, wide)
        canvas.translate(0.0, -block.high - min(gap, 20.0))
    canvas.restoreState()


def _piece(sheet: _Sheet, page: TilePage, layers: Sequence[Layer]) -> None:
    """One tile: the drawing inside its window and the marks round it."""
    canvas, tiled, tile = sheet.canvas, page.laid.tiled, page.tile
    wide, tall = tiled.window_mm
    canvas.saveState()
    canvas.translate(BORDER_MM, BORDER_MM + STRIP_MM)
    window = canvas.beginPath()
    window.rect(0.0, 0.0, wide, tall)
    canvas.saveState()
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(-tile.left_mm, -tile.bottom_mm)
    if tiled.cover:
        # What stands round the drawing is on the cover; halves of it would only be in the way.
        west, south, east, north = tiled.bounds
        shown = canvas.beginPath()
        shown.rect(west, south, east - west, north - south)
        canvas.clipPath(shown, stroke=0, fill=0)
    draw_layers(canvas, layers)
    canvas.restoreState()
    draw_layers(canvas, tape_marks(tiled, tile, layers))
    canvas.restoreState()


def _strip(sheet: _Sheet, size: tuple[float, float]) -> None:
    """The foot of the page: bars with their numbers, words, page map."""
    left, low = BORDER_MM, BORDER_MM
    inch_low = low + BAR_APART_MM
    black: list[Region] = []
    white: list[Region] = []
    _bar(black, white, (left, low), 10.0, 10)
    _bar(black, white, (left, inch_low), 0.5 * MM_PER_INCH, 8)
    draw_layers(
        sheet.canvas,
        (
            Layer(name="black", pen=Pen(fill=style.INK), shapes=tuple(black)),
            Layer(name="white", pen=Pen(fill=style.PAPER), shapes=tuple(white)),
        ),
    )
    _frame(sheet.canvas, (left, low), 100.0)
    _frame(sheet.canvas, (left, inch_low), 4.0 * MM_PER_INCH)
    _numbers(sheet.canvas, (left, low), [(20.0 * n, f"{20 * n}") for n in range(6)], "mm")
    _numbers(sheet.canvas, (left, inch_low), [(MM_PER_INCH * n, f"{n}") for n in range(5)], "in")
    _words(sheet, low, size)
    if sheet.tiled is not None:
        _map(sheet, sheet.tiled)


def _numbers(canvas: Any, at: tuple[float, float], marks: Sequence[tuple[float, str]], unit: str) -> None:
    """Numbers over the marks of a bar, the first and last inside its ends, its unit beside it."""
    for number, (x, words) in enumerate(marks):
        anchor: Anchor = "start" if not number else "end" if number == len(marks) - 1 else "middle"
        place = (at[0] + x, at[1] + BAR_TALL_MM + 0.8)
        write(canvas, Text(at=place, words=words, height_mm=LEAST_WORDS_MM, anchor=anchor), style.INK)
    end = (at[0] + marks[-1][0] + 2.0, at[1])
    write(canvas, Text(at=end, words=unit, height_mm=BAR_TALL_MM), style.INK)


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


def _words(sheet: _Sheet, low: float, size: tuple[float, float]) -> None:
    """What this page is and what to do with it."""
    page = sheet.page
    if isinstance(page, TilePage):
        which, title = f", {page.tile.name}", page.laid.sheet.title
    else:
        which = ", how the pages go together" if isinstance(page, CoverPage) else ""
        title = sheet.title or page.laid[0].sheet.title
    room = size[0] - 2.0 * BORDER_MM - (MAP_MM[0] + 6.0 if sheet.tiled is not None else 0.0)
    head = f"Page {sheet.number} of {sheet.count}{which}. {title}"
    told = "Print at 100 %, never “fit to page”. Check both bars with a rule."
    for y, words, bold in ((low + 21.3, head, True), (low + 16.4, told, False)):
        text = Text(at=(BORDER_MM, y), words=printable(words), height_mm=FOOT_MM, bold=bold)
        write(sheet.canvas, _fitting(text, room), style.INK)


def _fitting(text: Text, room: float) -> Text:
    """These words made to fit: a little smaller, and cut only where that is not enough."""
    words, bold = text.words, text.bold
    most = text.height_mm * min(1.0, room / max(width_mm(words, text.height_mm, bold=bold), 1e-9))
    height = max(LEAST_WORDS_MM, most)
    while len(words) > 5 and width_mm(words, height, bold=bold) > room + 1e-6:
        words = words[:-2].rstrip() + "…"
    return replace(text, words=words, height_mm=height)


def _map(sheet: _Sheet, tiled: Tiling) -> None:
    """Where this page lies among the others, its own cell dark."""
    assert isinstance(sheet.page, TilePage)
    cell_x = min(MAP_MM[0] / tiled.columns, 12.0)
    cell_y = min(MAP_MM[1] / tiled.rows, 9.0)
    left = tiled.page_mm[0] - BORDER_MM - cell_x * tiled.columns
    top = BORDER_MM + 0.5 * (MAP_MM[1] + cell_y * tiled.rows)
    for tile in tiled.tiles:
        own = tile == sheet.page.tile
        x, y = left + tile.column * cell_x, top - (tile.row + 1) * cell_y
        corners = ((x, y), (x + cell_x, y), (x + cell_x, y + cell_y), (x, y + cell_y))
        pen = Pen(stroke=style.INK, width_mm=0.25, fill=style.INK if own else style.PAPER)
        draw_layers(sheet.canvas, (Layer(name="cell", pen=pen, shapes=(Region(outer=corners),)),))
        height = min(2.6, 0.5 * cell_y)
        at = (x + 0.5 * cell_x, y + 0.5 * (cell_y - height))
        ink = style.PAPER if own else style.INK
        write(sheet.canvas, Text(at=at, words=tile.name, height_mm=height, anchor="middle", bold=own), ink)
