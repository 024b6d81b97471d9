"""How the pages to give away are set: a serif for headings, much white, one rule of rust, columns that end level.

Sizes in points. Nothing is smaller than 8 points, for it hangs on a wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from kerftone.draw.booklet_style import FACE, p
from kerftone.draw.fonts import BOLD_FONT, HEAD_FONT, SLANTED_FONT, WORDS_FONT
from kerftone.draw.style import INK, RUST, SLATE

MARGIN = 18 * mm
"""White round a page; own judgement."""
_INK, _RUST, _SLATE, _LINE = (colors.HexColor(one) for one in (INK, RUST, SLATE, "#cfc4ae"))

BODY = ParagraphStyle("share body", fontName=WORDS_FONT, fontSize=9, leading=13, textColor=_INK, spaceAfter=5)
LEAD = ParagraphStyle(
    "share lead", parent=BODY, fontName=SLANTED_FONT, fontSize=11, leading=16, textColor=_SLATE
)
SMALL = ParagraphStyle("share small", parent=BODY, fontSize=8, leading=11, textColor=_SLATE, spaceAfter=2)
CELL = ParagraphStyle("share cell", parent=BODY, fontSize=8.5, leading=11.5, spaceAfter=0)
STRONG = ParagraphStyle("share strong", parent=CELL, fontName=BOLD_FONT)
HEAD = ParagraphStyle("share head", parent=CELL, fontName=WORDS_FONT, fontSize=8, textColor=_SLATE)
SECTION = ParagraphStyle(
    "share section", parent=BODY, fontName=HEAD_FONT, fontSize=21, leading=26, spaceAfter=3
)
GROUP = ParagraphStyle(
    "share group", parent=BODY, fontName=HEAD_FONT, fontSize=11, leading=14, spaceBefore=9, spaceAfter=2
)
STEP = ParagraphStyle("share step", parent=BODY, fontName=BOLD_FONT, fontSize=9, leading=12, spaceAfter=1.5)
STEP_WORDS = ParagraphStyle("share step words", parent=BODY, fontSize=8.25, leading=11, spaceAfter=1.5)
CAUTION = ParagraphStyle("share caution", parent=STEP_WORDS, textColor=_RUST, fontSize=8, leading=10.5)

TICK_MM = 3.6
"""Of a box to tick; own judgement."""


class Box(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A box to tick."""

    def wrap(self, *_: float) -> tuple[float, float]:
        """Its size."""
        return TICK_MM * mm, TICK_MM * mm

    def draw(self) -> None:
        """A square of thin lines."""
        self.canv.setLineWidth(0.8)
        self.canv.setStrokeColor(_SLATE)
        self.canv.rect(0, -0.6, TICK_MM * mm, TICK_MM * mm)


class Section(Flowable):  # type: ignore[misc]
    """A heading in serif with a short rule of rust under it."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.title = words
        self.words = Paragraph(words, SECTION)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size."""
        _, self.tall = self.words.wrap(width, height)
        return width, self.tall + 14.0

    def getSpaceBefore(self) -> float:
        """White over a section that begins within a page."""
        return 16.0

    def draw(self) -> None:
        """The words, and the rule."""
        self.words.drawOn(self.canv, 0, 12.0)
        self.canv.setFillColor(_RUST)
        self.canv.rect(0, 7.0, 42.0, 2.2, stroke=0, fill=1)


def plain_table(
    heads: Sequence[str],
    rows: Sequence[Sequence[Any]],
    shares: Sequence[float],
    width: float,
    *,
    tall: float | None = None,
) -> Table:
    """A table of white and hairlines; its first column strong; cells may be words or anything that can be set.

    Parameters
    ----------
    heads : Sequence[str]
        One for each column; all empty for a table without heads.
    rows : Sequence[Sequence[Any]]
        Cells in the order of the columns.
    shares : Sequence[float]
        How wide each column is against the others.
    width : float
        Of the whole table, in points.
    tall : float, optional
        Height of its rows in points, where they are to be written in; without it what their words need.
    """

    def cell(content: Any, column: int) -> Any:
        return p(content, STRONG if column == 0 else CELL) if isinstance(content, str) else content

    data = [[p(head, HEAD) for head in heads]] if any(heads) else []
    data += [[cell(content, number) for number, content in enumerate(row)] for row in rows]
    whole = sum(shares)
    widths = [width * share / whole for share in shares]
    heights = None if tall is None else [tall] * len(data)
    found = Table(data, colWidths=widths, rowHeights=heights, repeatRows=int(any(heads)))
    look = [
        FACE,
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 7),
        ("TOPPADDING", (0, 0), (-1, -1), 3.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, _LINE),
    ]
    if any(heads):
        look.append(("LINEBELOW", (0, 0), (-1, 0), 0.9, _INK))
    found.setStyle(TableStyle(look))
    return found
