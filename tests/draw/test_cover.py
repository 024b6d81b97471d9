"""Covers read back: all words of a drawing in tiles stand whole on its first page, and none cross a seam."""

from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from kerftone.draw.pdf import pdf_file
from kerftone.draw.printing import printing
from kerftone.draw.tiling import CoverPage, TilePage, tiling
from kerftone.drum.file import read_drum
from kerftone.jobs.draw_templates import printed_of, sheets_of


def _texts(data):
    return [" ".join(p.get_textpage().get_text_range().split()) for p in pypdfium2.PdfDocument(data)]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("which", ["brook", "pike"])
def test_every_note_and_mark_stands_whole_before_the_tiles_or_under_the_drawing(which, paper, request):
    sheets = tuple(sheets_of(request.getfixturevalue(which)).values())
    pages = printing(sheets, paper)
    texts = _texts(pdf_file(sheets, paper=paper))
    assert len(texts) == len(pages)
    for sheet in sheets:
        on = [
            text
            for text, page in zip(texts, pages, strict=True)
            if not isinstance(page, TilePage) and any(laid.sheet is sheet for laid in page.laid)
        ]
        assert len(on) == 1
        for words in (*sheet.notes, *(mark.words for mark in sheet.marks)):
            assert " ".join(words.split()) in on[0], words


@pytest.mark.parametrize("which", ["brook", "pike"])
def test_drawings_in_tiles_share_covers(which, request):
    sheets = tuple(sheets_of(request.getfixturevalue(which)).values())
    pages = printing(sheets, "a4")
    covers = [page for page in pages if isinstance(page, CoverPage)]
    tiled = [sheet for sheet in sheets if len(tiling(sheet, "a4").tiles) > 1]
    assert [laid.sheet for page in covers for laid in page.laid] == tiled
    assert len(covers) < len(tiled)


@pytest.mark.parametrize("which", ["brook", "pike"])
def test_no_sentence_is_printed_on_the_pages_of_the_tiles(which, request):
    sheets = tuple(sheets_of(request.getfixturevalue(which)).values())
    for sheet in sheets:
        tiled = tiling(sheet, "a4")
        if tiled.cover:
            for text in _texts(pdf_file([sheet]))[1:]:
                for note in sheet.notes:
                    assert note not in text
                assert "Make 2" not in text and "face down" not in text


def test_a_cover_with_many_words_keeps_them_on_the_page(brook):
    sheet = next(iter(sheets_of(brook).values()))
    long = replace(sheet, notes=tuple(f"Note {n}: " + "measure twice and saw once. " * 4 for n in range(8)))
    page = pypdfium2.PdfDocument(pdf_file([long]))[0]
    textpage = page.get_textpage()
    said = textpage.get_text_range()
    low = [textpage.get_charbox(said.index(f"Note {n}:"))[1] for n in range(8)]
    # Each lower than the one before, and every one over the strip with the bars.
    assert low == sorted(low, reverse=True)
    assert low[-1] > (10.0 + 25.0) * 72.0 / 25.4


def test_two_drawings_in_tiles_come_on_one_cover_with_smaller_pictures():
    """Heron on A4: its top and its walls took a cover each."""
    heron = read_drum(Path(__file__).parents[2] / "examples" / "heron" / "drum.toml")
    pages = printing(printed_of(heron, "a4"), "a4")
    assert sum(isinstance(page, CoverPage) for page in pages) == 1 and len(pages) == 8
