"""How drawings at full size are shared out over sheets of paper, and how many sheets that takes.

A drawing that fits one page gets one, or shares it with others that fit there too. A larger one is cut into tiles, in
rows from the top and columns from the left, each overlapping its neighbours, so that they are taped together along
printed lines; the paper is turned whichever way takes fewer. Their words go together on a cover. Every page keeps
a strip at its foot for the check bars and the page map. All in mm.

The border that a printer leaves white and the overlap are common
practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kerftone.draw.sheet import Bounds, Sheet
from kerftone.drum.paper import PAPERS_MM
from kerftone.drum.shop import Paper

BORDER_MM = 10.0
"""What a printer leaves white all round (common practice, no source)."""
STRIP_MM = 25.0
"""At the foot of every page, for bars, words and page map: what these take."""
OVERLAP_MM = 14.0
"""Wide enough for tape, and for a name between two lines (common practice, no source)."""
BETWEEN_MM = 7.0
"""White between two drawings on one page."""


@dataclass(frozen=True, kw_only=True)
class Tile:
    """One page's piece of the drawing: row and column from 0, and its lower left corner in the drawing.

    `first`: how many rows of tiles the drawings before it have, so that no two pages of one print share a name.
    """

    row: int
    column: int
    left_mm: float
    bottom_mm: float
    first: int = 0

    @property
    def name(self) -> str:
        """A1 is the first of the top row, A2 its right neighbour, B1 the one below."""
        return f"{chr(ord('A') + (self.first + self.row) % 26)}{self.column + 1}"


@dataclass(frozen=True, kw_only=True)
class Tiling:
    """How one drawing lies on paper: the page's size, the window of it that shows drawing, the tiles.

    `bounds`: what of the drawing is shared out; `cover`: whether its words go on a page of their own.
    """

    page_mm: tuple[float, float]
    window_mm: tuple[float, float]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    bounds: Bounds
    overlap_mm: float = OVERLAP_MM
    cover: bool = False

    def at(self, row: int, column: int) -> Tile | None:
        """The tile there, if there is one."""
        return next((t for t in self.tiles if (t.row, t.column) == (row, column)), None)

    def cell(self, tile: Tile) -> Bounds:
        """What of this tile, in the drawing, stays in sight when its neighbours lie on it."""
        wide, tall = self.window_mm
        right = 0.0 if self.at(tile.row, tile.column + 1) is None else self.overlap_mm
        below = 0.0 if self.at(tile.row + 1, tile.column) is None else self.overlap_mm
        west, south, east, north = self.bounds
        return (
            max(west, tile.left_mm),
            max(south, tile.bottom_mm + below),
            min(east, tile.left_mm + wide - right),
            min(north, tile.bottom_mm + tall),
        )


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A drawing, and how it lies on paper."""

    sheet: Sheet
    tiled: Tiling


@dataclass(frozen=True, kw_only=True)
class TilePage:
    """A page that shows one tile of a drawing."""

    laid: Laid
    tile: Tile


@dataclass(frozen=True, kw_only=True)
class SharedPage:
    """A page that shows one or more drawings whole, one under the other."""

    page_mm: tuple[float, float]
    laid: tuple[Laid, ...]


@dataclass(frozen=True, kw_only=True)
class CoverPage:
    """A page with the words of drawings in tiles; pictures no larger than `share` of their usual height."""

    page_mm: tuple[float, float]
    laid: tuple[Laid, ...]
    share: float
    first: bool


Page = TilePage | SharedPage | CoverPage


def tiling(sheet: Sheet, paper: Paper, *, first: int = 0) -> Tiling:
    """On which pages, and where on them, this drawing is printed at full size.

    The pages show what must be at true size. Its words go under it where one page holds it, else on a cover
    (`Tiling.cover`). Fewest pages; upright paper when both ways take the same. The
    tiles together cover what they show, and lie centred on it.

    Parameters
    ----------
    sheet : Sheet
        The drawing, in mm.
    paper : Paper
        In the printer.
    first : int, optional
        How many pages come before.
    """
    west, south = sheet.left_mm, sheet.bottom_mm
    if sheet.to_size is None:
        return _best((west, south, west + sheet.width_mm, south + sheet.height_mm), paper, first)
    tight = _best(sheet.to_size, paper, first)
    if sheet.loose is not None:
        loose = _best(sheet.loose, paper, first)
        tight = loose if len(loose.tiles) == len(tight.tiles) else tight
    return replace(tight, cover=len(tight.tiles) > 1)


def _best(bounds: Bounds, paper: Paper, first: int) -> Tiling:
    short, long = PAPERS_MM[paper]
    both = [_tiled(bounds, page, first) for page in ((short, long), (long, short))]
    return min(both, key=lambda tiled: tiled.rows * tiled.columns)


def _tiled(bounds: Bounds, page: tuple[float, float], first: int) -> Tiling:
    west, south, east, north = bounds
    window = window_mm(page)
    columns, rows = _count(east - west, window[0]), _count(north - south, window[1])
    left = west - 0.5 * (_reach(columns, window[0]) - (east - west))
    top = north + 0.5 * (_reach(rows, window[1]) - (north - south))
    tiles = tuple(
        Tile(
            row=row,
            column=column,
            left_mm=left + column * (window[0] - OVERLAP_MM),
            bottom_mm=top - window[1] - row * (window[1] - OVERLAP_MM),
            first=first,
        )
        for row in range(rows)
        for column in range(columns)
    )
    return Tiling(page_mm=page, window_mm=window, rows=rows, columns=columns, tiles=tiles, bounds=bounds)


def window_mm(page: tuple[float, float]) -> tuple[float, float]:
    """How wide and how tall a piece of the drawing a page shows."""
    return page[0] - 2.0 * BORDER_MM, page[1] - 2.0 * BORDER_MM - STRIP_MM


def _count(size_mm: float, window_mm: float) -> int:
    return 1 if size_mm <= window_mm else 1 + math.ceil((size_mm - window_mm) / (window_mm - OVERLAP_MM))


def _reach(count: int, window_mm: float) -> float:
    return window_mm + (count - 1) * (window_mm - OVERLAP_MM)
