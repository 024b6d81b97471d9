"""The type of everything printed: one face, plain and bold, that goes into the file.

A print shop, or a reader without fonts of its own, then shows what was set here. The face is DejaVu Sans, free to
embed (its licence lies beside it); it comes with matplotlib and has the letters of most European languages and
the signs of music. A letter it lacks loses its accent, or else is printed as a question mark.
"""

from __future__ import annotations

import unicodedata
from pathlib import Path

WORDS_FONT = "Kerftone"
BOLD_FONT = "Kerftone-Bold"
_FILES = {WORDS_FONT: "DejaVuSans.ttf", BOLD_FONT: "DejaVuSans-Bold.ttf"}
CAPITAL_PER_SIZE = 1493.0 / 2048.0
"""The height of an H in the size of the font, from its own outline; held by tests/draw/test_pdf.py."""


def use_fonts() -> None:
    """Make the face known to reportlab, once. Call before anything is set or measured."""
    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name, file in _FILES.items():
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / file)))


def printable(words: str) -> str:
    """These words as the face can show them."""
    return "".join(map(_known, words))


def _known(letter: str) -> str:
    from reportlab.pdfbase import pdfmetrics

    use_fonts()
    glyphs = pdfmetrics.getFont(WORDS_FONT).face.charToGlyph
    plain = unicodedata.normalize("NFKD", letter)[:1]
    shown = next((one for one in (letter, plain) if one.isprintable() and ord(one) in glyphs), "?")
    return str(shown)
