"""Covers read back: all words of a drawing in tiles stand whole on its first page, and none cross a seam."""

from dataclasses import replace

import pypdfium2
import pytest

from kerftone.draw.paper import tiling
from kerftone.draw.pdf import pdf_file
from kerftone.draw.sheet import Text
from kerftone.jobs.draw_templates import sheets_of


def _texts(data):
    return [" ".join(p.get_textpage().get_text_range().split()) for p in pypdfium2.PdfDocument(data)]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("which", ["brook", "pike"])
def test_every_note_and_mark_of_a_drawing_in_tiles_stands_on_its_cover(which, paper, request):
    for name, sheet in sheets_of(request.getfixturevalue(which)).items():
        texts = _texts(pdf_file([sheet], paper=paper))
        tiled = tiling(sheet, paper)
        assert len(texts) == tiled.pages
        if not tiled.cover:
            continue
        assert "not to size" in texts[0] and "cover" in texts[0], name
        for words in (*sheet.notes, *(mark.words for mark in sheet.marks)):
            assert " ".join(words.split()) in texts[0], (name, words)


@pytest.mark.parametrize("which", ["brook", "pike"])
def test_what_is_cut_off_the_pages_is_only_words_that_the_cover_says(which, request):
    for name, sheet in sheets_of(request.getfixturevalue(which)).items():
        if sheet.to_size is None:
            continue
        west, south, east, north = sheet.to_size
        said = " ".join((sheet.title, *sheet.notes, *(mark.words for mark in sheet.marks), "FRONT EDGE"))
        for layer in sheet.layers:
            for shape in layer.shapes:
                outside = isinstance(shape, Text) and not (
                    west <= shape.at[0] <= east and south <= shape.at[1] <= north
                )
                if (
                    outside
                    and not layer.name.startswith(("check bar", "legend"))
                    and "Print at" not in shape.words
                ):
                    assert shape.words.split()[0].strip(".,:") in said, (name, shape.words)


@pytest.mark.parametrize("which", ["brook", "pike"])
def test_no_sentence_is_printed_on_the_pages_of_the_tiles(which, request):
    sheets = tuple(sheets_of(request.getfixturevalue(which)).values())
    for sheet in sheets:
        tiled = tiling(sheet, "a4")
        if tiled.cover:
            for text in _texts(pdf_file([sheet]))[1:]:
                for note in sheet.notes:
                    assert note == "FRONT EDGE: rows count from here" or note not in text
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
    assert low[-1] > (10.0 + 33.0) * 72.0 / 25.4
