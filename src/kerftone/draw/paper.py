"""How a drawing at full size is shared out over sheets of paper.

A drawing that fits one page gets one page. A larger one is cut into tiles, in rows from the top and columns
from the left, each overlapping its neighbours, so that they are taped together along printed lines; the
paper is turned whichever way takes fewer pages. Every page keeps a strip at its foot for the check bars and
the page map. All in mm.

The border that a printer leaves white and the overlap are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kerftone.draw.sheet import Sheet
from kerftone.drum.paper import PAPERS_MM
from kerftone.drum.shop import Paper

BORDER_MM = 10.0
STRIP_MM = 33.0
OVERLAP_MM = 14.0


@dataclass(frozen=True, kw_only=True)
class Tile:
    """One page's piece of the drawing: row and column from 0, and its lower left corner in the drawing."""

    row: int
    column: int
    left_mm: float
    bottom_mm: float

    @property
    def name(self) -> str:
        """A1 is the first of the top row, A2 its right neighbour, B1 the one below."""
        return f"{chr(ord('A') + self.row % 26)}{self.column + 1}"


@dataclass(frozen=True, kw_only=True)
class Tiling:
    """How one drawing lies on paper: the page's size, the window of it that shows drawing, the tiles."""

    page_mm: tuple[float, float]
    window_mm: tuple[float, float]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    overlap_mm: float = OVERLAP_MM

    def at(self, row: int, column: int) -> Tile | None:
        """The tile there, if there is one."""
        return next((t for t in self.tiles if (t.row, t.column) == (row, column)), None)


def tiling(sheet: Sheet, paper: Paper) -> Tiling:
    """On which pages, and where on them, this drawing is printed at full size.

    Fewest pages; upright paper when both ways take the same. The tiles together cover the whole sheet, and
    lie centred on it. Held by tests/draw/test_paper.py.
    """
    short, long = PAPERS_MM[paper]
    both = [_tiled(sheet, page) for page in ((short, long), (long, short))]
    return min(both, key=lambda tiled: tiled.rows * tiled.columns)


def _tiled(sheet: Sheet, page: tuple[float, float]) -> Tiling:
    window = (page[0] - 2.0 * BORDER_MM, page[1] - 2.0 * BORDER_MM - STRIP_MM)
    columns, rows = _count(sheet.width_mm, window[0]), _count(sheet.height_mm, window[1])
    spare_x = _reach(columns, window[0]) - sheet.width_mm
    spare_y = _reach(rows, window[1]) - sheet.height_mm
    left = sheet.left_mm - 0.5 * spare_x
    top = sheet.bottom_mm + sheet.height_mm + 0.5 * spare_y
    tiles = tuple(
        Tile(
            row=row,
            column=column,
            left_mm=left + column * (window[0] - OVERLAP_MM),
            bottom_mm=top - window[1] - row * (window[1] - OVERLAP_MM),
        )
        for row in range(rows)
        for column in range(columns)
    )
    return Tiling(page_mm=page, window_mm=window, rows=rows, columns=columns, tiles=tiles)


def _count(size_mm: float, window_mm: float) -> int:
    return 1 if size_mm <= window_mm else 1 + math.ceil((size_mm - window_mm) / (window_mm - OVERLAP_MM))


def _reach(count: int, window_mm: float) -> float:
    return window_mm + (count - 1) * (window_mm - OVERLAP_MM)
