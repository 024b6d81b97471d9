"""Pages are rendered and measured like prints: in pixels at 300 dpi, with a renderer that is not ours."""

import ctypes
import io
import re

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw
from reportlab.pdfgen.canvas import Canvas

from kerftone.draw.booklet import booklet_pdf
from kerftone.draw.layout import layout_sheet
from kerftone.draw.pdf import BAR_APART_MM, pdf_file
from kerftone.draw.sheet import Circle, Layer, Line, Outlined, Pen, Region, Sheet, Text
from kerftone.draw.tiling import BORDER_MM, STRIP_MM, tiling
from kerftone.draw.underside import underside_sheet
from kerftone.drum.arcs import ClosedPath
from kerftone.shop.shop_plan import shop_plan

PER_MM = 300.0 / 25.4


def _pages(data, *, dpi=300.0):
    document = pypdfium2.PdfDocument(data)
    return [np.asarray(page.render(scale=dpi / 72.0).to_pil().convert("L")) for page in document]


def _run_mm(row):
    """The length in mm of the run from the first dark to the last dark pixel of a row that is a bar."""
    dark = np.flatnonzero(row < 128)
    return (dark[-1] - dark[0] + 1) / PER_MM


def _bars_mm(page):
    """The two bars at the foot, read in the middle of their height (3 mm): lower first."""
    height = page.shape[0]
    found = []
    for low in (BORDER_MM, BORDER_MM + BAR_APART_MM):
        # The unit beside a bar begins 2 mm to the right of it.
        row = page[round(height - (low + 1.5) * PER_MM), : round((BORDER_MM + 101.8) * PER_MM)]
        found.append(_run_mm(row))
    return found


def _sheet(*shapes, pen=None, width=120.0, height=80.0):
    layer = Layer(name="all", pen=pen or Pen(stroke="#000000", width_mm=0.4), shapes=shapes)
    return Sheet(width_mm=width, height_mm=height, title="A sheet", description="", layers=(layer,))


@pytest.mark.outside
@pytest.mark.parametrize("paper, size_mm", [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_both_bars_measure_what_they_say_on_every_page(brook, brook_outline, paper, size_mm):
    pages = _pages(pdf_file([layout_sheet(brook, brook_outline)], paper=paper))
    assert len(pages) > 2
    for page in pages:
        height, width = (n / PER_MM for n in page.shape)
        assert sorted((width, height)) == pytest.approx(sorted(size_mm), abs=0.1)
        millimetres, inches = _bars_mm(page)
        assert millimetres == pytest.approx(100.0, abs=0.2)
        assert inches == pytest.approx(101.6, abs=0.2)


@pytest.mark.outside
def test_a_print_at_the_wrong_size_would_be_noticed(brook, brook_outline):
    shrunk = _pages(pdf_file([layout_sheet(brook, brook_outline)]), dpi=300.0 * 0.97)[0]
    height = shrunk.shape[0]
    row = shrunk[round(height - (BORDER_MM + 1.5) * PER_MM * 0.97), : round(111.8 * PER_MM * 0.97)]
    assert abs(_run_mm(row) - 100.0) > 2.0


def test_a_drawing_that_fits_is_one_page_with_nothing_to_tape():
    data = pdf_file([_sheet(Line(points=((10.0, 10.0), (110.0, 10.0))))])
    (page,) = _pages(data)
    words = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    assert "comes here" not in words and "tile" not in words
    assert [n for n in ("20", "40", "60", "80", "100") if n not in words] == []  # the bars' own numbers
    # The line, drawn 100 mm long, is 100 mm (and its own width) of dark pixels.
    top = page[: round((297.0 - BORDER_MM - STRIP_MM) * PER_MM)]
    row = top[np.argmax((top < 128).sum(axis=1))]
    assert _run_mm(row) == pytest.approx(100.4, abs=0.2)


def test_taped_together_the_tiles_are_the_drawing():
    """Dots all over a large sheet: every one is found on a page, at its place, and in overlaps on two."""
    dots = [(x, y) for x in np.arange(6.0, 500.0, 7.0) for y in np.arange(6.0, 300.0, 23.0)]
    sheet = _sheet(
        *(Circle(centre=(float(x), float(y)), radius_mm=1.5) for x, y in dots),
        pen=Pen(fill="#000000"),
        width=506.0,
        height=306.0,
    )
    tiled = tiling(sheet, "a4")
    pages = _pages(pdf_file([sheet]))
    assert len(pages) == len(tiled.tiles) > 3
    seen = dict.fromkeys(dots, 0)
    for page, tile in zip(pages, tiled.tiles, strict=True):
        for x, y in dots:
            across, up = x - tile.left_mm, y - tile.bottom_mm
            if 2.0 < across < tiled.window_mm[0] - 2.0 and 2.0 < up < tiled.window_mm[1] - 2.0:
                column = round((BORDER_MM + across) * PER_MM)
                row = round(page.shape[0] - (BORDER_MM + STRIP_MM + up) * PER_MM)
                patch = page[row - 40 : row + 41, column - 40 : column + 41]
                rows, columns = np.nonzero(patch < 60)
                if abs(len(rows) / PER_MM**2 - np.pi * 1.5**2) < 0.5:  # no tape line or ring over it
                    assert abs(rows.mean() - 40) < 2 and abs(columns.mean() - 40) < 2
                seen[x, y] += 1
    assert min(seen.values()) >= 1 and max(seen.values()) >= 2


def test_arcs_print_as_arcs():
    # A half circle over a straight edge, radius 20: drawn as one arc, filled, its area counted in pixels.
    path = ClosedPath(points=((60.0, 20.0), (60.0, 60.0)), bulges=(1.0, 0.0))
    (page,) = _pages(pdf_file([_sheet(Outlined(path=path), pen=Pen(fill="#000000"))]))
    top = page[: round((297.0 - BORDER_MM - STRIP_MM) * PER_MM)]
    rows, columns = np.nonzero(top < 128)
    assert len(rows) / PER_MM**2 == pytest.approx(np.pi * 400.0 / 2.0, rel=5e-3)
    assert np.ptp(columns) / PER_MM == pytest.approx(20.0, abs=0.2)


def test_holes_stay_open_and_words_have_their_height():
    square = ((10.0, 10.0), (50.0, 10.0), (50.0, 50.0), (10.0, 50.0))
    hole = ((20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0))
    (page,) = _pages(pdf_file([_sheet(Region(outer=square, holes=(hole,)), pen=Pen(fill="#000000"))]))
    top = page[: round((297.0 - BORDER_MM - STRIP_MM) * PER_MM)]
    assert (top < 128).sum() / PER_MM**2 == pytest.approx(1600.0 - 400.0, rel=5e-3)
    text = Text(at=(10.0, 10.0), words="HHH", height_mm=10.0)
    (page,) = _pages(pdf_file([_sheet(text, pen=Pen(fill="#000000", halo="#ffffff"))]))
    top = page[: round((297.0 - BORDER_MM - STRIP_MM) * PER_MM)]
    rows, _ = np.nonzero(top < 128)
    assert np.ptp(rows) / PER_MM == pytest.approx(10.0, abs=0.2)


def test_each_page_says_which_it_is_and_where_its_neighbours_come(pike, pike_outline):
    data = pdf_file([layout_sheet(pike, pike_outline), underside_sheet(pike, pike_outline)], paper="letter")
    texts = [p.get_textpage().get_text_range() for p in pypdfium2.PdfDocument(data)]
    said = [" ".join(text.split()) for text in texts]
    assert f"Page 1 of {len(texts)}, how the pages go together. Pike" in said[0]
    assert "the left end is on the right" in " ".join(said[:2])
    (first,) = [text for text in said if f"of {len(texts)}, A1. Pike" in text]
    assert "A2 begins here" in first
    # Names go on from one drawing to the next, so that no two pages share one.
    names = [re.search(r"of \d+, ([A-Z]\d)\. ", text) for text in said[1:]]
    found = [name.group(1) for name in names if name]
    assert len(found) == len(set(found)) >= 5


@pytest.mark.outside
def test_every_letter_is_in_a_font_that_the_file_carries(brook, brook_outline):
    """A print shop refuses a file that leaves its type to the reader; asked of the reader, not of our writer."""
    for data in (pdf_file([layout_sheet(brook, brook_outline)]), booklet_pdf(shop_plan(brook), made_by="x")):
        found = {(font, bool(embedded)) for font, embedded in _fonts(data)}
        assert {embedded for _, embedded in found} == {True}
        assert len(found) == 2  # plain and bold
        assert b"/Helvetica" not in data  # nor is one named that no word uses: a print shop asks of that, too
    # It bites: the fonts that every reader is supposed to have are not in a file.
    stream = io.BytesIO()
    canvas = Canvas(stream)
    canvas.setFont("Helvetica", 20)
    canvas.drawString(50, 50, "left to the reader")
    canvas.save()
    assert [embedded for _, embedded in _fonts(stream.getvalue())] == [0]
    assert b"/Helvetica" in stream.getvalue()


def _fonts(data):
    """The name of the font of every line of words, and whether the file carries it."""
    found = []
    for page in pypdfium2.PdfDocument(data):
        for item in page.get_objects([raw.FPDF_PAGEOBJ_TEXT], max_depth=15):
            font = raw.FPDFTextObj_GetFont(item.raw)
            name = ctypes.create_string_buffer(100)
            raw.FPDFFont_GetBaseFontName(font, name, 100)
            found.append((name.value, raw.FPDFFont_GetIsEmbedded(font)))
    return found


def test_the_same_drawing_is_the_same_file_and_odd_letters_do_no_harm(brook, brook_outline):
    sheets = [layout_sheet(brook, brook_outline)]
    assert pdf_file(sheets) == pdf_file(sheets)
    odd = pdf_file([_sheet(Text(at=(5.0, 5.0), words="Ночь \x00 D♭ naïve 夜", height_mm=5.0))], title="Ночь")
    assert "Ночь ? D♭ naïve ?" in pypdfium2.PdfDocument(odd)[0].get_textpage().get_text_range()
