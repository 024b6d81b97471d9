"""Twenty drums printed on both papers and read back: every word whole, none on another, none on lines that hide it.

Positions are asked of a reader that is not ours; what lies under words is seen by rendering the pages without them.
"""

import ctypes
import itertools
from functools import cache

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw
from tests.draw.twenty import DRUMS, drum_named, map_of

from kerftone.draw.bench_map import bench_map_sheet
from kerftone.draw.pdf import pdf_file
from kerftone.draw.printing import printing
from kerftone.draw.sheet import Text
from kerftone.draw.tiling import BORDER_MM, OVERLAP_MM, STRIP_MM, TilePage
from kerftone.jobs.draw_templates import printed_of, template_pages

MM = 72.0 / 25.4
PAPERS = ("a4", "letter")


@cache
def _printed(name, paper):
    drum = drum_named(name)
    sheets = printed_of(drum, paper)
    return drum, printing(sheets, paper), pdf_file(sheets, paper=paper)


def _words(page):
    """What stands on a page: words, and their box in mm from the lower left corner; what lies under a halo once."""
    textpage, found = page.get_textpage(), {}
    for item in page.get_objects([raw.FPDF_PAGEOBJ_TEXT], max_depth=15):
        size = raw.FPDFTextObj_GetText(item.raw, textpage.raw, None, 0)
        buffer = ctypes.create_string_buffer(size)
        raw.FPDFTextObj_GetText(
            item.raw, textpage.raw, ctypes.cast(buffer, ctypes.POINTER(raw.FPDF_WCHAR)), size
        )
        words = buffer.raw.decode("utf-16-le").rstrip("\x00").strip()
        west, south, east, north = item.get_bounds() if hasattr(item, "get_bounds") else item.get_pos()
        if words:
            box = tuple(round(value / MM, 2) for value in (west, south, east, north))
            found[words, round(box[0]), round(box[1])] = (words, box)
    return list(found.values())


def _said(sheet, bounds):
    """The words of a drawing that its pages must show."""
    west, south, east, north = bounds
    return [
        shape.words
        for layer in sheet.layers
        for shape in layer.shapes
        if isinstance(shape, Text) and west <= shape.at[0] <= east and south <= shape.at[1] <= north
    ]


MAPS = ("Plain", "High", "Twelve high")


@cache
def _mapped(name, paper):
    sheets = (bench_map_sheet(map_of(drum_named(name))),)
    return None, printing(sheets, paper), pdf_file(sheets, paper=paper)


@pytest.mark.outside
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", MAPS)
def test_the_map_for_boring_says_every_figure_whole_and_on_no_other(name, paper):
    _, pages, data = _mapped(name, paper)
    _hold_words(pages, data)
    _hold_lines(pages, data)


@pytest.mark.outside
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DRUMS)
def test_every_label_and_measure_lies_whole_on_a_page_clear_of_seams_and_of_each_other(name, paper):
    _, pages, data = _printed(name, paper)
    _hold_words(pages, data)


def _hold_words(pages, data):
    shown: dict[int, list[str]] = {}
    for page, printed in zip(pages, pypdfium2.PdfDocument(data), strict=True):
        words = _words(printed)
        for (one, a), (other, b) in itertools.combinations(words, 2):
            over = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
            assert min(over) < 0.3, (page, one, other)
        if not isinstance(page, TilePage):
            continue
        tiled, tile = page.laid.tiled, page.tile
        wide, tall = tiled.window_mm
        right = BORDER_MM + wide - OVERLAP_MM * (tiled.at(tile.row, tile.column + 1) is not None)
        low = BORDER_MM + STRIP_MM + OVERLAP_MM * (tiled.at(tile.row + 1, tile.column) is not None)
        drawn = [
            (said, box) for said, box in words if box[1] > BORDER_MM + STRIP_MM and "begins here" not in said
        ]
        for said, (west, south, east, north) in drawn:
            assert west > BORDER_MM - 0.2 and north < BORDER_MM + STRIP_MM + tall + 0.2, (tile.name, said)
            assert east < right + 0.2 and south > low - 0.2, (tile.name, said)
        shown.setdefault(id(page.laid), []).extend(said for said, _ in drawn)
    for page in pages:
        if isinstance(page, TilePage):
            wanted = _said(page.laid.sheet, page.laid.tiled.bounds)
            missing = [words for words in wanted if words not in shown[id(page.laid)]]
            assert not missing, (page.laid.sheet.title, missing)


@pytest.mark.outside
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DRUMS)
def test_no_words_stand_on_lines_that_make_them_hard_to_read(name, paper):
    _, pages, data = _printed(name, paper)
    _hold_lines(pages, data)


def _hold_lines(pages, data):
    document = pypdfium2.PdfDocument(data)
    for page, printed in zip(pages, document, strict=True):
        if not isinstance(page, TilePage):
            continue
        words = _words(printed)
        for item in list(printed.get_objects([raw.FPDF_PAGEOBJ_TEXT], max_depth=1)):
            printed.remove_obj(item)
        bare = np.asarray(printed.render(scale=100.0 / 72.0).to_pil().convert("L"))
        for said, (west, south, east, north) in words:
            rows = slice(
                round(bare.shape[0] - north * 100.0 / 25.4), round(bare.shape[0] - south * 100.0 / 25.4)
            )
            patch = bare[rows, round(west * 100.0 / 25.4) : round(east * 100.0 / 25.4)]
            under = float((patch < 150).mean()) if patch.size else 0.0
            map_cell = south < BORDER_MM + STRIP_MM and len(said) < 4
            assert under < 0.12 or map_cell, (page.tile.name, said, under)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DRUMS)
def test_the_pages_are_counted_before_they_are_drawn(name, paper):
    drum, _, data = _printed(name, paper)
    assert template_pages(drum, paper) == len(pypdfium2.PdfDocument(data))


def test_the_twenty_take_fewer_pages_than_a_page_for_each_piece_of_wood_and_words():
    """Before covers were shared, measures drawn on the wood and walls joined, Plain took 17 pages and Heron too."""
    assert len(_printed("Plain", "a4")[1]) <= 10
    assert len(_printed("High", "letter")[1]) <= 7
