"""Every page that some drawings take when they are printed: the one place where pages are counted.

`kerftone draw`, the check in the shop plan and the sheet to give away all ask here, before anything is drawn.
"""

from __future__ import annotations

from collections.abc import Sequence

from kerftone.draw.cover import cover_pages, whole_block
from kerftone.draw.sheet import Sheet
from kerftone.draw.tiling import (
    BETWEEN_MM,
    CoverPage,
    Laid,
    Page,
    SharedPage,
    TilePage,
    tiling,
    window_mm,
)
from kerftone.drum.paper import PAPERS_MM
from kerftone.drum.shop import Paper


def printing(sheets: Sequence[Sheet], paper: Paper) -> tuple[Page, ...]:
    """Every sheet of paper that these drawings take, in the order in which they are printed.

    Covers first, then the tiles of each drawing, then what fits on pages whole. Held by tests/draw/test_tiling.py.
    """
    laid: list[Laid] = []
    rows = 0
    for sheet in sheets:
        tiled = tiling(sheet, paper, first=rows)
        rows += tiled.rows if len(tiled.tiles) > 1 else 0
        laid.append(Laid(sheet=sheet, tiled=tiled))
    tiles = [TilePage(laid=one, tile=t) for one in laid if len(one.tiled.tiles) > 1 for t in one.tiled.tiles]
    whole = _shared([one for one in laid if len(one.tiled.tiles) == 1], paper)
    return (*_covers([one for one in laid if one.tiled.cover], paper), *tiles, *whole)


def _covers(laid: Sequence[Laid], paper: Paper) -> list[CoverPage]:
    return [
        CoverPage(page_mm=PAPERS_MM[paper], laid=one, share=share, first=not number)
        for number, (one, share) in enumerate(cover_pages(laid, PAPERS_MM[paper]))
    ]


def _shared(laid: Sequence[Laid], paper: Paper) -> list[SharedPage]:
    """Drawings that fit a page whole, as many on each as there is room for."""
    pages: list[list[Laid]] = []
    for one in laid:
        fitting = next((page for page in pages if _page_for([*page, one], paper)), None)
        if fitting is None:
            pages.append([one])
        else:
            fitting.append(one)
    return [
        SharedPage(page_mm=_page_for(page, paper) or page[0].tiled.page_mm, laid=tuple(page))
        for page in pages
    ]


def _page_for(laid: Sequence[Laid], paper: Paper) -> tuple[float, float] | None:
    """Which way the paper lies that holds these one under the other, with their words; None when neither does."""
    short, long = PAPERS_MM[paper]
    for page in ((short, long), (long, short)):
        wide, tall = window_mm(page)
        high = sum(whole_block(one, wide).high for one in laid) + BETWEEN_MM * (len(laid) - 1)
        widest = max(one.tiled.bounds[2] - one.tiled.bounds[0] for one in laid)
        if widest <= wide and high <= tall:
            return page
    return None
