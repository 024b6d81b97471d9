"""How the booklet is set: sizes of type, tables, a box to tick.

Type is large enough for arm's length at a bench; nothing is smaller than 8 points.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from kerftone.draw.fonts import BOLD_FONT, WORDS_FONT, printable
from kerftone.draw.style import INK, RUST, SEA, SLATE, WOOD

BODY = ParagraphStyle(
    "body", fontName=WORDS_FONT, fontSize=9.5, leading=13.5, textColor=colors.HexColor(INK), spaceAfter=4
)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=8.25, leading=11, spaceAfter=2)
CELL = ParagraphStyle("cell", parent=BODY, fontSize=8.5, leading=11, spaceAfter=0)
HEAD = ParagraphStyle("head", parent=CELL, fontName=BOLD_FONT, textColor=colors.white)
TITLE = ParagraphStyle("title", parent=BODY, fontName=BOLD_FONT, fontSize=23, leading=28, spaceAfter=2)
SECTION = ParagraphStyle(
    "section",
    parent=BODY,
    fontName=BOLD_FONT,
    fontSize=13.5,
    leading=17,
    spaceBefore=10,
    spaceAfter=4,
)
STEP = ParagraphStyle("step", parent=BODY, fontName=BOLD_FONT, fontSize=10.75, leading=14, spaceAfter=2)
CAUTION = ParagraphStyle("caution", parent=SMALL, textColor=colors.HexColor(RUST), leftIndent=10)


FACE = ("FONTNAME", (0, 0), (-1, -1), WORDS_FONT)
"""For every table: its cells would name a font that is not in the file, even where paragraphs fill them."""


def p(words: str, style: ParagraphStyle = BODY) -> Paragraph:
    """Words as a paragraph; whatever the maker wrote is escaped."""
    return Paragraph(escape(printable(" ".join(words.split()))), style)


def table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], width: float
) -> Table:
    """A table that breaks over pages and repeats its head.

    Parameters
    ----------
    heads : Sequence[str]
        One a column.
    rows : Sequence[Sequence[str]]
        A text a column in each.
    shares : Sequence[float]
        What part of the width each column has; they add up to 1.
    width : float
        Of the column on the page, in points.
    """
    data = [[p(head, HEAD) for head in heads], *([p(cell, CELL) for cell in row] for row in rows)]
    whole = sum(shares)
    found = Table(data, colWidths=[width * share / whole for share in shares], repeatRows=1)
    found.setStyle(
        TableStyle(
            [
                FACE,
                ("BACKGROUND", (0, 0), (-1, 0), colors.HexColor(SEA)),
                ("ROWBACKGROUNDS", (0, 1), (-1, -1), [colors.white, colors.HexColor(WOOD)]),
                ("LINEBELOW", (0, 1), (-1, -1), 0.4, colors.HexColor(SLATE)),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 5),
                ("RIGHTPADDING", (0, 0), (-1, -1), 5),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
            ]
        )
    )
    return found


class Tick(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A box to tick with a carpenter's pencil."""

    def wrap(self, *_: float) -> tuple[float, float]:
        """Its size."""
        return 7 * mm, 7 * mm

    def draw(self) -> None:
        """A square."""
        self.canv.setLineWidth(1.2)
        self.canv.setStrokeColor(colors.HexColor(INK))
        self.canv.rect(0, 0, 6 * mm, 6 * mm)
