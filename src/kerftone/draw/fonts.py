"""The type of everything printed: one face, plain and bold, and its serif for headings, that go into the file.

A print shop, or a reader without fonts of its own, then shows what was set here. The face is DejaVu, free to embed
and to hand on; it and its licence lie in `type/`, reduced to the letters of European languages, the signs of music
and the commoner signs of mathematics. A letter it lacks loses its accent, or else is printed as a question mark.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache, lru_cache
from importlib.resources import files

WORDS_FONT = "Kerftone"
BOLD_FONT = "Kerftone-Bold"
HEAD_FONT = "Kerftone-Head"
SLANTED_FONT = "Kerftone-Slanted"
FONT_FILES = {
    WORDS_FONT: "DejaVuSans.ttf",
    BOLD_FONT: "DejaVuSans-Bold.ttf",
    HEAD_FONT: "DejaVuSerif-Bold.ttf",
    SLANTED_FONT: "DejaVuSerif-Italic.ttf",
}
CAPITAL_PER_SIZE = 1493.0 / 2048.0
"""The height of an H in the size of the font, from its own outline; held by tests/draw/test_pdf.py."""


@cache
def use_fonts() -> None:
    """Make the faces known to reportlab, once. Call before anything is set or measured."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = files("kerftone.draw").joinpath("type")
    for name, file in FONT_FILES.items():
        with folder.joinpath(file).open("rb") as stream:
            pdfmetrics.registerFont(TTFont(name, stream))


def printable(words: str) -> str:
    """These words as the face can show them."""
    return "".join(map(_known, words))


def width_mm(words: str, height_mm: float, *, bold: bool = False, font: str | None = None) -> float:
    """How wide these words are printed when their capitals are this high.

    Parameters
    ----------
    words : str
        In one line.
    height_mm : float
        Height of the capitals, in mm.
    bold : bool, optional
        Whether they are printed bold.
    font : str, optional
        The name of another typeface; without it the booklet's own.
    """
    return _measured(words, height_mm, font or (BOLD_FONT if bold else WORDS_FONT))


@lru_cache(maxsize=20_000)  # pages are laid out several ways, and most of their words are measured for each
def _measured(words: str, height_mm: float, face: str) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    use_fonts()
    return float(stringWidth(printable(words), face, height_mm / CAPITAL_PER_SIZE))


def set_in(words: str, *, width: float, height_mm: float, bold: bool = False) -> Iterator[str]:
    """These words broken into lines that fit this width as they are printed.

    Parameters
    ----------
    words : str
        To be broken at blanks.
    width : float
        The room for a line, in mm.
    height_mm : float
        Height of the capitals, in mm.
    bold : bool, optional
        Whether they are printed bold.
    """
    line = ""
    for word in words.split():
        longer = f"{line} {word}" if line else word
        if line and width_mm(longer, height_mm, bold=bold) > width:
            yield line
            longer = word
        line = longer
    if line:
        yield line


@cache
def _known(letter: str) -> str:
    from reportlab.pdfbase import pdfmetrics

    use_fonts()
    glyphs = pdfmetrics.getFont(WORDS_FONT).face.charToGlyph
    plain = unicodedata.normalize("NFKD", letter)[:1]
    shown = next((one for one in (letter, plain) if one.isprintable() and ord(one) in glyphs), "?")
    return str(shown)
